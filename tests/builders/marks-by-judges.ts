import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import type { Mark } from "../../src/belt-test/scorebook/cell.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { aCase } from "./a-case.ts";

/** One candidate marked whole by judges 1, 2 …; `level` is asked cell by cell, and checklists are done. */
export function marksByJudges(
  rubric: Rubric,
  candidate: CandidateId,
  judges: readonly number[],
  level: (judge: number, at: number) => number,
): Mark[] {
  return judges.flatMap((one) => {
    let at = 0;
    return aCase({
      rubric,
      judges: 1,
      level: ({ criterion }) => (criterion === "done" ? 2 : level(one, at++)),
    }).marks.map((mark) => ({ ...mark, judge: `judge-${one}` as PersonId, candidate }));
  });
}
