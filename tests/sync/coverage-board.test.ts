import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fold } from "../../src/core/scorebook/scorebook.ts";
import { CoverageBoard } from "../../src/sync/coverage-board.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";

describe("the coverage board", () => {
  it("[Y7] says what is marked, what was not seen and what was cleared again", () => {
    const day = aTestDay({ judges: 1, candidates: 1 });
    const pen = day.judges[0]?.pen ?? day.chief;
    const marks = [
      aMark(pen, { criterion: "chamber", level: 4 }),
      aMark(pen, { criterion: "extension", level: "not-seen" }),
      aMark(pen, { criterion: "target", level: 2 }),
      aMark(pen, { criterion: "target", level: "cleared" }),
    ];
    const book = fold([...day.plan, ...marks]);
    const board = new CoverageBoard();
    for (const mark of marks) board.note(book, mark);
    expect(board.all()).toEqual([
      {
        judge: "judge-1",
        candidate: "candidate-1",
        section: "blocks",
        item: "rising-block",
        side: "left",
        marked: ["chamber"],
        notSeen: ["extension"],
      },
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
