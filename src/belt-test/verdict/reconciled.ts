import type { CandidateCase } from "./outcome.ts";
import { panelCells, seenOf } from "./panel-cells.ts";
import type { Reconciled } from "./question.ts";
import { isStruck } from "./question-keys.ts";
import { retestRule } from "./retest-set.ts";
import { type Seen, type Standing, sectionStanding, standing } from "./standing.ts";
import { type Weighing, weighing as weighingOf } from "./weighing.ts";

/** Where a candidate stands whose cells come to this. */
export const standingAt = (
  from: CandidateCase,
  weighing: Weighing,
  seenAt: (cell: number) => Seen,
): Standing =>
  standing(
    weighing,
    weighing.sections.map((section) => sectionStanding(weighing, section, seenAt)),
    retestRule(from),
  );

/** A case, weighed and combined: struck marks are out before anything is. */
export function reconciled(from: CandidateCase): Reconciled {
  const { rubric, excused, settlements } = from;
  const weighing = weighingOf(rubric, excused);
  const hasStrikes = settlements.some(({ decision }) => decision === "struck");
  const marks = hasStrikes ? from.marks.filter((mark) => !isStruck(mark, settlements)) : from.marks;
  const cells = panelCells(weighing, marks, rubric.panel.combine);
  return { from, weighing, cells, standing: standingAt(from, weighing, (at) => seenOf(cells[at])) };
}
