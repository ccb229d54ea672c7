import type { PersonId } from "../../book/identity.ts";
import { toNumber } from "../exact/rational.ts";
import type { CandidateCase } from "./outcome.ts";
import { panelCells, seenOf } from "./panel-cells.ts";
import { isStruck } from "./question-keys.ts";
import { retestRule } from "./retest-set.ts";
import { sectionStanding, standing } from "./standing.ts";
import { weighing as weighingOf } from "./weighing.ts";

/**
 * What each judge's marks alone would come to: the rubric's rule with one judge.
 *
 * @param from the case; struck marks are out.
 * @returns by judge's id, in percent; null for a judge who saw too little of some section for a total.
 *
 * For the eye only: a judge alone is no panel.
 */
export function judgeTotals(from: CandidateCase): { judge: PersonId; percent: number | null }[] {
  const weighing = weighingOf(from.rubric, from.excused);
  const marks = from.marks.filter((mark) => !isStruck(mark, from.settlements));
  const judges = [...new Set(marks.map(({ judge }) => judge))].sort();
  return judges.map((judge) => {
    const cells = panelCells(
      weighing,
      marks.filter((mark) => mark.judge === judge),
      from.rubric.panel.combine,
    );
    const { total } = standing(
      weighing,
      weighing.sections.map((section) =>
        sectionStanding(weighing, section, (at) => seenOf(cells[at])),
      ),
      retestRule(from),
    );
    return { judge, percent: total && toNumber(total) };
  });
}
