import { isAway } from "../scorebook/presence.ts";
import { adjustedResult } from "./adjusted-result.ts";
import { isOpen } from "./is-open.ts";
import type { CandidateCase, NotAdjusted, Outcome, Question } from "./outcome.ts";
import { byWeight } from "./outcome-of.ts";
import type { PanelSeverity } from "./panel-severity.ts";
import { questionKeys } from "./question-keys.ts";

/**
 * An outcome with what the panel's severities have to say of it: the adjusted score beside the score, and a question where it would be another result.
 *
 * The score, the computed result and every other question stay what they were. A candidate whose sections are not all open, or who is not here, is not advised of.
 *
 * @param from the case the outcome was computed from. @param panel severities of the whole test.
 * @returns a new outcome; `adjusted` null with the reason where nothing can or need be adjusted.
 * Source: design of `severities`; why it stays a question: docs/fairness.md.
 */
export function advised(outcome: Outcome, from: CandidateCase, panel: PanelSeverity): Outcome {
  const { found, outlook, judges } = panel;
  if (isAway(outcome.presence) || !isOpen(outcome) || outcome.computed === "incomplete")
    return without(outcome, "no-score");
  if (found.kind === "not-possible") return without(outcome, found.reason);
  if (outlook === "nothing-to-gain-without-standard") return without(outcome, "nothing-to-gain");
  const adjusted = adjustedResult(from, found, judges);
  if (adjusted === null) return without(outcome, "no-score");
  const flips = adjusted.computed !== outcome.computed;
  const repeats = adjusted.retestSections.join() !== outcome.retestSections.join();
  if (!flips && !repeats) return { ...outcome, adjusted };
  const key = questionKeys.severity();
  const isSettled = from.settlements.some(({ question }) => question === key);
  const question: Question = {
    kind: "severity",
    key,
    judges: judges.filter((judge) => from.marks.some((mark) => mark.judge === judge)),
    gap: adjusted.change,
    effect: isSettled ? "no-effect" : "could-change",
    flips: flips && !isSettled,
    swing: isSettled ? 0 : Math.abs(adjusted.change),
    isSettled,
  };
  return { ...outcome, adjusted, questions: [...outcome.questions, question].sort(byWeight) };
}

const without = (outcome: Outcome, adjustedReason: NotAdjusted): Outcome => ({
  ...outcome,
  adjusted: null,
  adjustedReason,
});
