import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../src/core/identity.ts";
import { criteriaAt, itemOf } from "../../src/core/rubric/lookup.ts";
import type { Section } from "../../src/core/rubric/rubric.ts";
import { assignedPlaces } from "../../src/core/scorebook/assigned-places.ts";
import type { AnyEntry } from "../../src/core/scorebook/entry.ts";
import { fold } from "../../src/core/scorebook/scorebook.ts";
import { CoverageBoard } from "../../src/sync/coverage-board.ts";
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
    expect(told(rest)).toEqual([
      ["begun", 0],
      ["filled", places.length],
      ["locked", places.length],
    ]);
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
});
