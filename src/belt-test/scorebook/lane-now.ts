import type { Stamp } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import { type LaneWord, laneIn, lanesAfter } from "./lane-words.ts";

/**
 * Which lane is now what was this lane when something was written: who joins or leaves a wave moves the others. Undefined where nobody stood there who still does.
 *
 * @param call  index of the call that it was about
 */
export function laneNow(
  words: readonly LaneWord[],
  call: number,
  written: Pick<Stamp, "lamport">,
  lane: number,
): number | undefined {
  const before = words.filter((word) => word.call <= call || word === words[0]);
  // A mark does not make logical time go on.
  const from = before.findLastIndex(
    ({ says, stamp }) => "linedUp" in says && stamp.lamport <= written.lamport,
  );
  let now: number | undefined = lane;
  for (const [at, { says }] of before.entries()) {
    if (at <= from || !("linedUp" in says) || now === undefined) continue;
    const stood = lanesAfter(before.slice(0, at));
    const stand = lanesAfter(before.slice(0, at + 1));
    if (stood.toSorted().join() === stand.toSorted().join()) continue;
    const who: CandidateId | undefined = stood[now - 1];
    now = who && laneIn(stand, who);
  }
  return now;
}
