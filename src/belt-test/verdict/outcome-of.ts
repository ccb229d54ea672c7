import { asText, fromDecimal, type Rational, rational, toNumber } from "../exact/rational.ts";
import { rounded } from "../exact/rounded.ts";
import { effects } from "./effect.ts";
import type { CandidateCase, Outcome, Percent, Question, SectionOutcome } from "./outcome.ts";
import { asPanelMarks } from "./panel-cells.ts";
import { questions } from "./questions.ts";
import { reconciled } from "./reconciled.ts";
import type { SectionStanding } from "./standing.ts";

/**
 * What is computed of one candidate: panel marks, scores, the verdict they come to, and the questions that remain.
 *
 * Marks in levels, scores in percent; every comparison is exact. Depends on nothing but the case: not on the order of marks, judges or settlements.
 * A candidate without a mark is "incomplete" with no score; absent and withdrawn candidates raise no questions. Nothing is corrected and nothing is decided here:
 * a verdict is issued by the chief examiner.
 *
 * A question settled as "struck" takes its judge's marks out before anything is combined; settled as "stands" it changes nothing.
 * Either way it leaves the queue.
 */
export function outcome(from: CandidateCase): Outcome {
  const { rubric } = from;
  const its = reconciled(from);
  const { weighing, cells, standing: stand } = its;
  const total = stand.total && lowest(stand.total);
  return {
    candidate: from.candidate,
    rubric: rubric.id,
    presence: from.presence,
    computed: stand.computed,
    score: total && asPercent(total),
    scoreRounded:
      total &&
      toNumber(rounded(total, fromDecimal(rubric.pass.rounding.to), rubric.pass.rounding.mode)),
    sections: stand.sections.map((section) => sectionOutcome(section, from)),
    retestSections: stand.retestSections,
    panelMarks: asPanelMarks(weighing, cells),
    questions: questionsOf(from, its),
  };
}

function questionsOf(from: CandidateCase, reconciled: Parameters<typeof questions>[0]): Question[] {
  const settled = new Set(from.settlements.map(({ question }) => question));
  const found = questions(reconciled);
  const open = found.filter(({ question }) => !settled.has(question.key));
  const known = effects(reconciled, open);
  const all = [
    ...open.map(
      ({ question }, place): Question => ({
        ...question,
        ...(known[place] as (typeof known)[number]),
        isSettled: false,
      }),
    ),
    ...found.flatMap(({ question }): Question[] =>
      settled.has(question.key)
        ? [{ ...question, effect: "no-effect", flips: false, swing: 0, isSettled: true }]
        : [],
    ),
  ];
  return all.sort(byWeight);
}

/** What could change a verdict comes first; then what moves more; then by name, so that the order is always the same. */
export function byWeight(a: Question, b: Question): number {
  return (
    Number(a.isSettled) - Number(b.isSettled) ||
    Number(b.flips) - Number(a.flips) ||
    Number(b.effect === "could-change") - Number(a.effect === "could-change") ||
    b.swing - a.swing ||
    (a.key < b.key ? -1 : a.key > b.key ? 1 : 0)
  );
}

function sectionOutcome(
  { section: { section }, score, seen, isExcused, unmet }: SectionStanding,
  from: CandidateCase,
): SectionOutcome {
  return {
    id: section.id,
    score: score && asPercent(lowest(score)),
    floor: section.floor,
    seen: seen.n === seen.d ? 1 : toNumber(seen),
    isExcused,
    isRevealed: from.revealed.includes(section.id),
    unmet,
  };
}

const lowest = ({ n, d }: Rational): Rational => rational(n, d);
const asPercent = (score: Rational): Percent => ({
  exact: asText(score),
  percent: toNumber(score),
});
