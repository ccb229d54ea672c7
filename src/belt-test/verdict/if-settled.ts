import type { CandidateCase, Outcome, Settlement } from "./outcome.ts";
import { outcome } from "./outcome-of.ts";

/**
 * What a candidate's result would be, were one question settled this way: computed exactly as it will be once it is.
 *
 * @param from the case as it stands. @param settlement takes the place of an earlier one of the same question.
 * @returns without advice on strictness and without certainty, which are of the whole panel.
 */
export function ifSettled(from: CandidateCase, settlement: Settlement): Outcome {
  const others = from.settlements.filter(({ question }) => question !== settlement.question);
  return outcome({ ...from, settlements: [...others, settlement] });
}
