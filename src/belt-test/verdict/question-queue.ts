import type { CandidateId } from "../identity.ts";
import { isAway } from "../scorebook/presence.ts";
import { isOpen } from "./is-open.ts";
import type { Outcome, Question } from "./outcome.ts";
import { byWeight } from "./outcome-of.ts";

export interface AskedQuestion {
  candidate: CandidateId;
  question: Question;
}

/**
 * The open questions of a whole test, those first that could change a verdict, then those of whoever's result is least sure, then by how far they could move a total;
 * settled ones are out. Equal ones keep the candidates' order. A result of which nobody can say how sure it is comes before all that are.
 */
export function questionQueue(outcomes: readonly Outcome[]): AskedQuestion[] {
  return outcomes
    .flatMap(({ candidate, questions, certainty }) =>
      questions
        .filter(({ isSettled }) => !isSettled)
        .map((question) => ({ review: { candidate, question }, sure: certainty?.sure ?? 0 })),
    )
    .sort(
      (a, b) =>
        byEffect(a.review.question, b.review.question) ||
        a.sure - b.sure ||
        byWeight(a.review.question, b.review.question),
    )
    .map(({ review }) => review);
}

const byEffect = (a: Question, b: Question): number =>
  Number(b.flips) - Number(a.flips) ||
  Number(b.effect === "could-change") - Number(a.effect === "could-change");

/** Why a verdict cannot be issued without a recorded reason; empty when it can. */
export type Hindrance = "incomplete" | "not-revealed" | "question-open" | "not-present";

/**
 * What stands between a candidate and a verdict. The chief examiner may override, with a reason that is recorded.
 * @returns an empty list when the computed verdict may be issued as it is.
 */
export function hindrances(outcome: Outcome): Hindrance[] {
  const found: Hindrance[] = [];
  if (isAway(outcome.presence)) found.push("not-present");
  if (outcome.computed === "incomplete") found.push("incomplete");
  if (!isOpen(outcome)) found.push("not-revealed");
  if (outcome.questions.some(({ effect, isSettled }) => effect === "could-change" && !isSettled))
    found.push("question-open");
  return found;
}

/** Whether the computed verdict may be issued now, with no open question that could change it. */
export const isIssuable = (outcome: Outcome): boolean => hindrances(outcome).length === 0;
