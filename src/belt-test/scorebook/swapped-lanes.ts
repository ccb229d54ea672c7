import type { CandidateId } from "../identity.ts";
import type { EntryBody } from "./entry.ts";
import { laneIn } from "./lane-words.ts";

/** What is written when two who stand so on this glass have changed places: in which lane each of them stands from then on. */
export function swapOf(
  stand: readonly CandidateId[],
  candidates: [CandidateId, CandidateId],
): Pick<EntryBody<"lanes-swapped">, "candidates" | "lanes"> {
  const [a, b] = candidates.map((one) => laneIn(stand, one));
  return { candidates, ...(a && b && { lanes: [b, a] }) };
}

/** Who stands where once these two have changed places. */
export function lanesOnceSwapped(
  stand: readonly CandidateId[],
  [a, b]: readonly [CandidateId, CandidateId],
): CandidateId[] {
  return stand.map((one) => (one === a ? b : one === b ? a : one));
}
