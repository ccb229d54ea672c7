import type { Stamp } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import { laneIn, type Stands } from "./lane-words.ts";

/**
 * Which lane is now what was this lane when something was written: who joins or leaves a wave moves the others. Undefined where nobody stood there who still does.
 *
 * @param call  index of the call that it was about
 */
export function laneNow(
  { linedUp }: Stands,
  call: number,
  written: Pick<Stamp, "lamport">,
  lane: number,
): number | undefined {
  const said = linedUp.filter((word) => word.call <= call);
  // A mark does not make logical time go on.
  const from = said.findLastIndex(({ stamp }) => stamp.lamport <= written.lamport);
  let now: number | undefined = lane;
  for (const { before, after } of said.slice(from + 1)) {
    if (now === undefined || before.toSorted().join() === after.toSorted().join()) continue;
    const who: CandidateId | undefined = before[now - 1];
    now = who && laneIn(after, who);
  }
  return now;
}
