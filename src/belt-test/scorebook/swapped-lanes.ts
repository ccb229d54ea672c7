import { byAge, type Stamp } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { EntryOf } from "./entry.ts";

type Said = EntryOf<"lanes-swapped">;
type Pair = readonly [CandidateId, CandidateId];

/** Two children who changed places: once, however many said so. */
export interface LaneSwap {
  candidates: Pair;
  /** Oldest first; never empty. */
  said: readonly Said[];
}

/** What the chief wrote of a wave's lanes, and when. */
interface LinedUp {
  value: readonly CandidateId[];
  stamp: Stamp;
}

/** Who stands where after these swaps, in turn; one of somebody who stands elsewhere changes nothing. */
export function swapped(
  lanes: readonly CandidateId[],
  swaps: readonly Pick<LaneSwap, "candidates">[],
): CandidateId[] {
  const stand = [...lanes];
  for (const { candidates } of swaps) exchange(stand, candidates);
  return stand;
}

function exchange(stand: CandidateId[], [a, b]: Pair): void {
  const [at, other] = [stand.indexOf(a), stand.indexOf(b)];
  if (at >= 0 && other >= 0) [stand[at], stand[other]] = [b, a];
}

/** Who of two is left once those who stand so on this glass have changed places. */
export const leftOnceSwapped = (stand: readonly CandidateId[], [a, b]: Pair): CandidateId =>
  stand.indexOf(a) < stand.indexOf(b) ? b : a;

/**
 * Who changed places in a wave, in turn. Whoever says of two how they stand already changes nothing, and has said it with the others: caller and judge see the same, and
 * say so at once. They stand so if the newest change that either took part in brought it about, or the chief's line.
 * Without `left`, as an app of before says it, they change places whenever it is said.
 *
 * @param said  oldest first
 * @param linedUp  newest first
 */
export function laneSwaps(said: readonly Said[], linedUp: readonly LinedUp[]): LaneSwap[] {
  const swaps: { candidates: Pair; left: CandidateId | undefined; said: Said[] }[] = [];
  const newest = new Map<CandidateId, (typeof swaps)[number]>();
  const written = [...linedUp];
  let moved = new Set<CandidateId>();
  let stand: CandidateId[] = [];
  for (const one of said) {
    for (let line = written.at(-1); line && byAge(line.stamp, one) < 0; line = written.at(-1)) {
      written.pop();
      moved = new Set();
      stand = [...line.value];
    }
    const { candidates } = one.body;
    const [a, b] = candidates;
    const left = candidates.find((candidate) => candidate === one.body.left);
    const last = newest.get(a);
    const isSame = last !== undefined && last === newest.get(b) && last.left === left;
    const isMoved = moved.has(a) || moved.has(b);
    const at = stand.indexOf(a);
    const isSo = at >= 0 && stand.includes(b) && left === (at < stand.indexOf(b) ? a : b);
    if (isSo && (isSame || !isMoved)) {
      if (isSame) last.said.push(one);
      continue;
    }
    exchange(stand, candidates);
    const now = stand.find((candidate) => candidates.includes(candidate));
    const swap = { candidates, left: now ?? left, said: [one] };
    swaps.push(swap);
    for (const candidate of candidates) {
      newest.set(candidate, swap);
      moved.add(candidate);
    }
  }
  return swaps;
}
