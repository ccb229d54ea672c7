import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { mergeable } from "../../../src/belt-test/intake/persons-file.ts";
import { isKnown } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { inOrder } from "../../../src/book/in-order.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { refsIn } from "../../../src/line/refs-in.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aGradingId, aPen, revouched } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";

const judge = "judge-1" as PersonId;
const { plan } = aTestDay();
const merged = (entries: readonly AnyEntry[], came: ReadonlySet<string> = new Set()) =>
  mergeable(fold(plan), { grading: aGradingId, entries }, judge, {
    refsOf: (entry) => (isKnown(entry) ? refsIn(entry) : []),
    hasSide: (id) => came.has(id),
  });
const pen = (device?: string) => {
  const its = aPen(judge, device);
  its.hear(plan.length);
  return its;
};

describe("a file that came back to the chief's device", () => {
  it("[S80] is asked what the line would ask: whose device, which place, how far ahead, whose words", () => {
    const own = pen();
    const first = aMark(own);
    const squatting = revouched({ ...aMark(pen("chief-tablet")), n: 99 });
    const again = revouched({ ...aMark(pen()), n: 1 });
    const changed = { ...(plan[3] as AnyEntry), at: 1 };
    const later = revouched({ ...aMark(own), n: 7 });
    const ahead = revouched({ ...aMark(own, { criterion: "target" }), n: 2, lamport: 2 ** 48 });
    const { ref, record } = makeSideRecord(
      {
        grading: aGradingId,
        about: "candidate-1" as CandidateId,
        kind: "text",
        body: { text: "Low." },
      },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const where = { section: "blocks" as SectionId, item: null, side: null };
    const note = revouched({
      ...own.write("note", { candidate: "candidate-1" as CandidateId, ...where, text: ref }),
      n: 3,
    });
    const { taken, refused } = merged([first, squatting, again, changed, later, ahead, note]);
    expect(taken).toEqual([first]);
    expect(refused.map(({ code }) => code)).toEqual([
      "NOT_YOURS",
      "N_REUSED",
      "ID_REUSED",
      "N_GAP",
      "LAMPORT_TOO_HIGH",
      "SIDE_RECORD_MISSING",
    ]);
    expect(merged([first, ahead, note], new Set([record.id])).taken).toEqual([first, note]);
  });

  it("[S297] lets no word that a child is back leave a place open, or come from far ahead", () => {
    const own = pen();
    const candidate = "candidate-1" as CandidateId;
    const gone = own.write("withdrawn", { candidate, why: "hurt" });
    own.write("related", { candidate, relation: "family" });
    const back = own.write("withdrawn", { candidate, why: null, withdrawals: [gone.id] });
    const ahead = revouched({ ...back, n: 2, lamport: 2 ** 46 });
    for (const [line, code] of [
      [back, "N_GAP"],
      [ahead, "LAMPORT_TOO_HIGH"],
    ] as const) {
      const { taken, refused } = merged([gone, line]);
      expect(taken).toEqual([gone]);
      expect(refused.map((one) => one.code)).toEqual([code]);
    }
  });

  it("[S256] keeps what a judge marked and locked before the place was given over, whose role went with it", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [
      (typeof day.judges)[number],
      (typeof day.judges)[number],
    ];
    const [mia, blocks] = ["candidate-1" as CandidateId, "blocks" as SectionId];
    const sides = { refsOf: () => [], hasSide: () => true };
    const book = fold(day.plan);
    const marked = (one: typeof first) => {
      const mark = aMark(one.pen) as AnyEntry;
      return [mark, ...(aLock(one, blocks, [mia], [...day.plan, mark]) as AnyEntry[])];
    };
    const merge = (one: typeof first, lines: readonly AnyEntry[]) => {
      const file = { grading: aGradingId, entries: [...day.plan, ...lines] };
      const { taken, refused } = mergeable(book, file, one.person, sides);
      for (const entry of taken) book.add(entry);
      return { taken: taken.length, refused: refused.map(({ code }) => code) };
    };
    const [ofFirst, ofSecond] = [marked(first), marked(second)];
    expect(merge(first, ofFirst)).toEqual({ taken: ofFirst.length, refused: [] });
    day.chief.hear(book.lamport);
    const given = [
      day.chief.write("seated", { person: "spare" as PersonId, roles: ["judge"] }),
      day.chief.write("judge-replaced", { judge: first.person, by: "spare" as PersonId }),
      day.chief.write("seated", { person: first.person, roles: [] }),
    ];
    for (const entry of given) book.add(entry as AnyEntry);
    // What it opens was locked in every place: nobody is left out.
    expect(merge(second, ofSecond)).toEqual({ taken: ofSecond.length, refused: [] });
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    // The marks of whoever judges no more are kept; of a lock it is said why it is not taken.
    const other = fold([...day.plan, ...(given as AnyEntry[])]);
    const file = { grading: aGradingId, entries: [...day.plan, ...ofFirst] };
    const late = mergeable(other, file, first.person, sides);
    expect(late.refused.map(({ code }) => code)).toEqual(["NOT_ASSIGNED"]);
    expect(late.taken.length).toBe(ofFirst.length - 1);
  });

  it("[S170] is asked all that the line asks: no rubric that contradicts itself, no verdict against what was computed", () => {
    const { day, entries } = aMarkedDay();
    const book = fold(entries);
    day.chief.hear(book.lamport);
    const odd = aRubric();
    const unsound = { ...odd, id: "odd" as RubricId, criteria: odd.criteria.slice(1) };
    const verdict = day.chief.write("verdict", {
      ...{ candidate: day.candidates[0] as CandidateId, result: "retest", computed: "retest" },
      ...{ retestSections: [], basis: book.basis },
    });
    const frozen = day.chief.write("frozen", { rubric: unsound });
    const file = { grading: aGradingId, entries: [...entries, verdict, frozen] };
    const person = "chief" as PersonId;
    const { taken, refused } = mergeable(book, file, person, {
      ...{ refsOf: () => [], hasSide: () => true },
    });
    expect(taken).toEqual([]);
    expect(refused.map(({ code }) => code)).toEqual(["COMPUTED_OTHER", "RUBRIC_UNSOUND"]);
  });

  it("[S80] is read in the order in which it was written, however its lines lie", () => {
    const own = pen();
    const marks = Array.from({ length: 12 }, (_, at) => aMark(own, { level: (at % 4) + 1 }));
    fc.assert(
      fc.property(
        fc.shuffledSubarray([...plan, ...marks], { minLength: plan.length + 12 }),
        (lines) => {
          expect(merged(lines).taken).toEqual(marks);
          const order = inOrder(lines);
          for (const { device } of lines)
            expect(order.filter((one) => one.device === device).map(({ n }) => n)).toEqual(
              lines.flatMap((one) => (one.device === device ? [one.n] : [])).sort((a, b) => a - b),
            );
        },
      ),
      { numRuns: 30 },
    );
  });
});
