import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../src/belt-test/identity.ts";
import { waveScript } from "../../src/belt-test/planning/wave-script.ts";
import { criteriaAt, itemOf } from "../../src/belt-test/rubric/lookup.ts";
import type { Section } from "../../src/belt-test/rubric/rubric.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import { isCallDone } from "../../src/belt-test/scorebook/call-done.ts";
import { restBodies } from "../../src/belt-test/scorebook/judge-view.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import { CoverageBoard } from "../../src/line/coverage-board.ts";
import { aLock } from "../builders/a-lock.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";

describe("the coverage board", () => {
  it("[Y7] says begun, all filled and locked, and which cells are not seen only when all is filled", () => {
    const day = aTestDay({ judges: 1, candidates: 1 });
    const [judge] = day.judges;
    if (!judge) throw new Error("a judge");
    const blocks = "blocks" as SectionId;
    const board = new CoverageBoard();
    const book = fold(day.plan);
    const told = (entries: readonly AnyEntry[]) =>
      entries.flatMap((entry) => {
        book.add(entry);
        return board.note(book, entry).work.map(({ state, notSeen }) => [state, notSeen.length]);
      });
    const places = assignedPlaces(book, judge.person, day.candidates[0] as CandidateId, blocks);
    expect(told([aMark(judge.pen, { level: "not-seen" })])).toEqual([["begun", 0]]);
    expect(told([aMark(judge.pen, { level: "cleared" })])).toEqual([["nothing", 0]]);
    const rest = aLock(judge, blocks, day.candidates, [...book.entries()]);
    const marks = rest.filter(({ kind }) => kind !== "locked");
    // Where the section as a whole is asked for, it is not filled without that: no judge can lock it.
    const asWhole = { candidate: day.candidates[0] as CandidateId, section: blocks, judgement: 3 };
    expect(told(marks)).toEqual([["begun", 0]]);
    expect(told([judge.pen.write("overall", asWhole) as AnyEntry])).toEqual([
      ["filled", places.length],
    ]);
    expect(told(rest.filter(({ kind }) => kind === "locked"))).toEqual([["locked", places.length]]);
  });

  it("[Y7] tells that a judge is done with a call when the last child of it is filled, and takes it back", () => {
    const day = aTestDay({ judges: 1, candidates: 2 });
    const pen = day.judges[0]?.pen ?? day.chief;
    const book = fold(day.plan);
    const board = new CoverageBoard();
    const done = (entry: AnyEntry) => {
      book.add(entry);
      return board.note(book, entry).calls.map((call) => call.done);
    };
    const criteria = criteriaAt(
      day.rubric.sections[0] as Section,
      itemOf(day.rubric.sections[0] as Section, "rising-block" as ItemId) ?? null,
    );
    const marks = day.candidates.flatMap((candidate) =>
      criteria.map((criterion) => aMark(pen, { candidate, criterion })),
    );
    expect(marks.map(done)).toEqual(marks.map((_, at) => (at < marks.length - 1 ? [] : [true])));
    expect(done(aMark(pen, { criterion: criteria[0] as string, level: "cleared" }))).toEqual([
      false,
    ]);
  });

  it("[Y7] is the same whichever levels were given", () => {
    const levels = fc.array(fc.integer({ min: 1, max: 4 }), { minLength: 3, maxLength: 3 });
    const boardOf = (given: readonly number[]) => {
      const day = aTestDay({ judges: 1 });
      const pen = day.judges[0]?.pen ?? day.chief;
      const marks = day.candidates.map((candidate, index) =>
        aMark(pen, { candidate, level: given[index] ?? 1 }),
      );
      const book = fold([...day.plan, ...marks]);
      const board = new CoverageBoard();
      for (const mark of marks) board.note(book, mark);
      return board.all();
    };
    fc.assert(
      fc.property(levels, levels, (a, b) => {
        expect(JSON.stringify(boardOf(a))).toBe(JSON.stringify(boardOf(b)));
      }),
    );
  });

  it("[Y110] stays true whatever else happens than marks: what is told is what a book with all the marks says", () => {
    const act = fc.oneof(
      { weight: 8, arbitrary: fc.record({ does: fc.constant("fills" as const), at: fc.nat(11) }) },
      { weight: 2, arbitrary: fc.record({ does: fc.constant("judges" as const), at: fc.nat(1) }) },
      fc.record({
        does: fc.constantFrom("withdrawn", "absent", "checked-in", "excused"),
        at: fc.nat(1),
      }),
    );
    fc.assert(
      fc.property(fc.array(act, { minLength: 6, maxLength: 40 }), (acts) => {
        const day = aTestDay({ judges: 1, candidates: 2 });
        const [judge] = day.judges;
        if (!judge) throw new Error("a judge");
        const book = fold(day.plan);
        // What a chief's tablet holds while marks are closed.
        const chiefs = fold(day.plan);
        const board = new CoverageBoard();
        const work = new Map<string, string>();
        const calls = new Map<string, boolean>();
        const steps = () => waveScript(book, 1).filter(({ asked }) => asked);
        for (const { does, at } of acts) {
          const candidate = day.candidates[at % 2] as CandidateId;
          const written = entriesOf();
          for (const entry of written) {
            book.add(entry);
            if (entry.by !== judge.person) chiefs.add(entry);
            const news = board.note(book, entry);
            for (const one of news.work) work.set(`${one.candidate}/${one.section}`, one.state);
            for (const { section, item, side, done } of news.calls)
              calls.set(`${section}/${item}/${side}`, done);
          }
          for (const step of steps()) {
            const heard = calls.get(`${step.section}/${step.item}/${step.markedSide}`);
            expect(heard ?? isCallDone(chiefs, judge.person, step)).toBe(
              isCallDone(book, judge.person, step),
            );
          }
          for (const [key, state] of work) {
            const [child, section] = key.split("/") as [CandidateId, SectionId];
            const places = assignedPlaces(book, judge.person, child, section);
            const isFilled = places.every((place) => book.marks.cell(judge.person, child, place));
            const isWhole =
              section !== "blocks" || book.marks.overall(judge.person, child, section) !== null;
            expect(state === "filled").toBe(isFilled && isWhole);
          }

          function entriesOf(): AnyEntry[] {
            if (does === "withdrawn")
              return [day.chief.write("withdrawn", { candidate, why: "hurt" })];
            if (does === "absent") return [day.chief.write("absent", { candidate })];
            if (does === "checked-in") {
              const isOut = book.floor.presence(candidate) === "withdrawn";
              return isOut
                ? [day.chief.write("withdrawn", { candidate, why: null })]
                : [day.chief.write("checked-in", { candidate })];
            }
            if (does === "excused")
              return [
                day.chief.write("excused", {
                  candidate,
                  section: "blocks" as SectionId,
                  item: "low-block" as ItemId,
                  why: "age",
                }),
              ];
            if (does === "judges")
              return [
                judge?.pen.write("overall", {
                  candidate,
                  section: "blocks" as SectionId,
                  judgement: 3,
                }),
              ] as AnyEntry[];
            const step = steps()[at % Math.max(1, steps().length)];
            return step && judge
              ? restBodies(book, judge.person, step, [candidate]).map((body) =>
                  judge.pen.write("mark", body),
                )
              : [];
          }
        }
      }),
    );
  });
});
