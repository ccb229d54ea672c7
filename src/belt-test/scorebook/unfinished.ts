import type { CandidateId } from "../identity.ts";
import { isAway } from "./presence.ts";
import type { Scorebook } from "./scorebook.ts";

/** What a belt test still owes when it is to be closed. */
export interface Unfinished {
  /** Here, and without a verdict. */
  undecided: CandidateId[];
  /** With a verdict, and no sheet released. */
  unreleased: CandidateId[];
}

/**
 * Which candidates are not done with. Absent, unfit and withdrawn candidates need no verdict.
 *
 * @returns candidates by number; both lists empty when nothing is open.
 */
export function unfinished(book: Scorebook): Unfinished {
  const candidates = book.plan.entrants.map(({ candidate }) => candidate);
  return {
    undecided: candidates.filter(
      (one) => !book.decisions.verdict(one) && !isAway(book.floor.presence(one)),
    ),
    unreleased: candidates.filter(
      (one) => book.decisions.verdict(one) && !book.decisions.release(one),
    ),
  };
}
