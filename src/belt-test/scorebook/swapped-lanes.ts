import type { CandidateId } from "../identity.ts";
import type { EntryOf } from "./entry.ts";

/** Who stands where after these swaps, in turn; one of somebody who stands elsewhere changes nothing. */
export function swapped(
  lanes: readonly CandidateId[],
  swaps: readonly Pick<EntryOf<"lanes-swapped">, "body">[],
): CandidateId[] {
  const stand = [...lanes];
  for (const { body } of swaps) {
    const [a, b] = body.candidates;
    const [at, other] = [stand.indexOf(a), stand.indexOf(b)];
    if (at >= 0 && other >= 0) [stand[at], stand[other]] = [b, a];
  }
  return stand;
}
