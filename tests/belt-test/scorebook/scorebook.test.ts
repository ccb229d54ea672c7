import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import type { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import type { Place } from "../../../src/belt-test/scorebook/cell.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { lateQuestion } from "../../../src/belt-test/scorebook/marks.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const mia = "candidate-1" as CandidateId;
const judge1 = "judge-1" as PersonId;
const blocks = "blocks" as SectionId;
const chamber: Place = {
  section: blocks,
  item: "rising-block" as ItemId,
  side: "left",
  criterion: "chamber" as CriterionId,
};

/** Everything a book answers about its candidates, as comparable data. */
function stateOf(book: Scorebook) {
  return book.plan.entrants.map(({ candidate }) => ({
    candidate,
    marks: book.marks
      .of(candidate, "verdict")
      .sort((a, b) => JSON.stringify(a).localeCompare(JSON.stringify(b))),
    atLock: book.marks.of(candidate, "lock").length,
    late: book.marks.late(candidate).length,
    conflicts: book.marks.conflicts(candidate).length,
    presence: book.floor.presence(candidate),
    isRevealed: book.openings.isRevealed(candidate, blocks),
    verdict: book.decisions.verdict(candidate)?.id,
    lanes: book.plan.waves,
    call: book.floor.currentCall?.id,
    stop: book.floor.stop,
  }));
}

/** A day with marks, an undo, locks, a swap, a stop and two tablets of one judge. */
function aBusyDay(): AnyEntry[] {
  const { plan, judges, chief, candidates } = aTestDay();
  const entries = [...plan];
  const second = aPen("judge-1", "judge-1-spare");
  for (const { pen } of judges) {
    for (const candidate of candidates) {
      const first = aMark(pen, { candidate, level: 2 });
      entries.push(
        first,
        aMark(pen, { candidate, level: 4 }),
        aMark(pen, { candidate, criterion: "target", level: "not-seen" }),
      );
    }
  }
  entries.push(aMark(second, { level: 1 }), aMark(second, { criterion: "extension", level: 3 }));
  for (const { person, pen } of judges) {
    const basis = { [`${person}-tablet`]: 99 };
    entries.push(pen.write("locked", { section: blocks, candidates, basis }));
  }
  entries.push(
    chief.write("lanes-swapped", {
      wave: 1,
      candidates: [candidates[0] as CandidateId, candidates[2] as CandidateId],
    }),
    chief.write("checked-in", { candidate: mia }),
    chief.write("stopped", { wave: 1 }),
    chief.write("floor-cleared", {}),
    chief.write("stopped", { wave: 1 }),
    chief.write("floor-cleared", { stops: [] }),
  );
  return entries;
}

describe("the frozen faults and cues", () => {
  const aLibrary = (title: string): FaultLibrary => ({
    id: "faults",
    version: 1,
    title,
    language: "en",
    faults: [],
    practice: [],
  });
  it("[S16] are the first that were frozen, in whatever order they come; a book without them is read", () => {
    const { plan, chief } = aTestDay();
    expect(fold(plan).plan.library).toBeUndefined();
    const first = chief.write("faults-frozen", { library: aLibrary("As it was said") });
    const later = chief.write("faults-frozen", { library: aLibrary("Edited") });
    for (const order of [
      [first, later],
      [later, first],
    ])
      expect(fold([...order, ...plan]).plan.library?.title).toBe("As it was said");
    expect(readEntry(JSON.parse(JSON.stringify(first))).ok).toBe(true);
  });
});

describe("the scorebook", () => {
  it("[S1] gives the same state for the same entries in any order, with any repeats, in any split", () => {
    const entries = aBusyDay();
    const expected = stateOf(fold(entries));
    fc.assert(
      fc.property(
        fc.shuffledSubarray(entries, { minLength: entries.length }),
        fc.array(fc.nat(entries.length - 1)),
        (shuffled, repeats) => {
          const again = [...shuffled, ...repeats.map((index) => entries[index] as AnyEntry)];
          expect(stateOf(fold(again))).toEqual(expected);
        },
      ),
      { numRuns: 60 },
    );
  });

  it("[S2] has no mark in a cell nobody wrote, and none in a cell that was cleared", () => {
    const { plan, judges } = aTestDay();
    const pen = judges[0]?.pen as ReturnType<typeof aPen>;
    const book = fold(plan);
    expect(book.marks.cell(judge1, mia, chamber)).toBeUndefined();
    book.add(aMark(pen, { level: 2 }));
    expect(book.marks.cell(judge1, mia, chamber)?.level).toBe(2);
    book.add(aMark(pen, { level: "cleared" }));
    expect(book.marks.cell(judge1, mia, chamber)).toBeUndefined();
    expect(book.marks.of(mia, "verdict")).toEqual([]);
  });

  it("[S4] calls two unknowing tablets a conflict, agreeing ones none, and takes the judge's later word for both", () => {
    const { plan } = aTestDay();
    const one = aPen("judge-1", "a");
    const two = aPen("judge-1", "b");
    const first = aMark(one, { level: 2 });
    const other = aMark(two, { level: 4 });
    const book = fold([...plan, first, other]);
    expect(book.marks.conflicts(mia)).toEqual([{ judge: judge1, place: chamber }]);
    expect(
      fold([...plan, first, aMark(aPen("judge-1", "c"), { level: 2 })]).marks.conflicts(mia),
    ).toEqual([]);
    one.hear(50);
    book.add(
      one.write(
        "mark",
        {
          ...chamber,
          cells: [{ candidate: mia, criterion: chamber.criterion, level: 3, how: "tapped" }],
        },
        [first.id, other.id],
      ),
    );
    expect(book.marks.conflicts(mia)).toEqual([]);
    expect(book.marks.cell(judge1, mia, chamber)?.level).toBe(3);
  });

  it("[S5] lets logical time decide, whatever the wall clock says", () => {
    const { plan, judges } = aTestDay();
    const pen = judges[0]?.pen as ReturnType<typeof aPen>;
    const early = { ...aMark(pen, { level: 2 }), at: 9_999_999_999_999 } as AnyEntry;
    const late = { ...aMark(pen, { level: 4 }), at: 0 } as AnyEntry;
    expect(fold([...plan, early, late]).marks.cell(judge1, mia, chamber)?.level).toBe(4);
  });

  it("[S6] reveals when the last judge has locked, and not one judge earlier", () => {
    const { plan, judges, candidates } = aTestDay();
    const book = fold(plan);
    judges.forEach(({ pen }, index) => {
      expect(book.openings.isRevealed(mia, blocks)).toBe(false);
      book.add(pen.write("locked", { section: blocks, candidates, basis: {} }));
      expect(book.openings.isRevealed(mia, blocks)).toBe(index === judges.length - 1);
    });
  });

  it("[S6] waits for the replacement, not for the judge who left", () => {
    const { plan, judges, chief, candidates } = aTestDay();
    const book = fold(plan);
    book.add(chief.write("judge-replaced", { judge: judge1, by: "judge-9" as PersonId }));
    for (const { pen } of judges.slice(1))
      book.add(pen.write("locked", { section: blocks, candidates, basis: {} }));
    expect(book.openings.isRevealed(mia, blocks)).toBe(false);
    book.add(aPen("judge-9").write("locked", { section: blocks, candidates, basis: {} }));
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
  });

  it("[S7] keeps, by the first rules, what stood at lock, counts whatever came after it for the verdict, and a late mark only on the chief's word", () => {
    const { plan, judges, chief, candidates } = aTestDay({ rules: 1 });
    const pen = judges[0]?.pen as ReturnType<typeof aPen>;
    const late = aMark(aPen("judge-1", "spare"), { criterion: "target", level: 1 });
    const book = fold([...plan, aMark(pen, { level: 2 })]);
    book.add(pen.write("locked", { section: blocks, candidates, basis: book.basis }));
    pen.hear(book.lamport + 1);
    book.add(aMark(pen, { level: 4 }));
    book.add(late);
    const levels = (as: "lock" | "verdict") =>
      book.marks.of(mia, as).map(({ criterion, level }) => [criterion, level]);
    expect(levels("lock")).toEqual([["chamber", 2]]);
    expect(levels("verdict")).toEqual([["chamber", 4]]);
    expect(book.marks.late(mia)).toHaveLength(1);
    book.add(
      chief.write("review-settled", {
        question: lateQuestion(judge1, blocks),
        candidate: mia,
        decision: "late-counts",
        reason: { id: anId("side-1"), digest: "0".repeat(64) },
      }),
    );
    expect(levels("verdict")).toEqual([
      ["chamber", 4],
      ["target", 1],
    ]);
    expect(levels("lock")).toEqual([["chamber", 2]]);
  });

  it("[S12] keeps entries and keys of another year's version untouched", () => {
    const { plan, judges } = aTestDay();
    const mark = aMark(judges[0]?.pen as ReturnType<typeof aPen>);
    const fromNextYear = { ...mark, hue: "x", body: { ...mark.body, pressure: 0.4 } };
    expect(readEntry(fromNextYear)).toEqual({ ok: true, entry: fromNextYear });
    const unknown = {
      ...mark,
      id: "00000000-0000-7000-8000-ffffffffffff",
      kind: "applause",
      body: { loud: true },
    };
    const read = readEntry(unknown);
    expect(read).toEqual({ ok: true, entry: unknown });
    const book = fold(plan);
    book.add(unknown as unknown as AnyEntry);
    expect(book.size).toBe(plan.length + 1);
    expect(
      readEntry({ ...mark, body: { ...mark.body, cells: [{ ...mark.body.cells[0], level: 11 }] } }),
    ).toMatchObject({
      ok: false,
      path: ["body", "cells", 0, "level"],
    });
  });

  it("[S14] lets the chief take a judge off a wave, whatever order the lines arrive in", () => {
    const { plan, chief } = aTestDay({ judges: 2, candidates: 2 });
    const kim = "judge-kim" as PersonId;
    const watch = (wave: number, candidates: string[]) =>
      chief.write("assigned", {
        judge: kim,
        section: blocks,
        wave,
        candidates: candidates as CandidateId[],
      });
    const both = watch(1, ["candidate-1", "candidate-2"]);
    const elsewhere = watch(2, ["candidate-2"]);
    const onlySecond = watch(1, ["candidate-2"]);
    for (const order of [
      [both, elsewhere, onlySecond],
      [onlySecond, both, elsewhere],
    ]) {
      const book = fold([...plan, ...order]);
      // The plan's own lines name no wave and still stand beside.
      expect(book.panel.judgesOf(mia, blocks)).toEqual(["judge-1", "judge-2"]);
      expect(book.panel.judgesOf("candidate-2" as CandidateId, blocks)).toContain(kim);
      expect(book.panel.assignments.filter(({ judge }) => judge === kim)).toHaveLength(2);
    }
    const off = fold([...plan, both, elsewhere, watch(1, []), watch(2, [])]);
    expect(off.panel.judgesOf("candidate-2" as CandidateId, blocks)).not.toContain(kim);
  });
});
