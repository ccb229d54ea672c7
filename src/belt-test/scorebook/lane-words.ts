import { byAge, NOW, type Stamp } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { EntryOf } from "./entry.ts";

type Said = EntryOf<"lanes-swapped">;
type Called = EntryOf<"called">;
type Call = Pick<Called["body"], "section" | "item" | "side">;

/** What was said of who stands where in a wave: by the chief of all of them, by others of two. */
export interface LaneWord {
  /** Index among the calls of the wave: from that one on. -1 for from before the first. */
  call: number;
  stamp: Stamp;
  says: { linedUp: readonly CandidateId[] } | { swap: Said };
}

/**
 * All that was said of the lanes of one wave, in the order of the calls that it is about, then of its age: two who say the same of one call, in whatever order they are heard,
 * have said it once.
 *
 * @param calls  of this wave, oldest first
 */
export function laneWords(
  linedUp: readonly { value: readonly CandidateId[]; stamp: Stamp }[],
  swaps: readonly Said[],
  calls: readonly Called[],
): LaneWord[] {
  const newest = (stamp: Stamp) => calls.findLastIndex((call) => byAge(call, stamp) < 0);
  const words: LaneWord[] = [
    ...linedUp.map(({ value, stamp }) => ({
      call: newest(stamp),
      stamp,
      says: { linedUp: value },
    })),
    ...swaps.map((swap) => ({
      call: swap.body.call ? callNamed(calls, swap, swap.body.call) : newest(swap),
      stamp: swap,
      says: { swap },
    })),
  ];
  return words.sort((a, b) => (a.call === b.call ? byAge(a.stamp, b.stamp) : a.call - b.call));
}

/** A judge may be a board behind, and names the call. One that was made again is meant as it was last; one that nobody has heard of is still to come. */
function callNamed(calls: readonly Called[], swap: Said, named: Call): number {
  const isNamed = ({ body }: Called) => isCallOf(body, named);
  const at = calls.findLastIndex((call) => byAge(call, swap) < 0 && isNamed(call));
  const later = at < 0 ? calls.findIndex(isNamed) : at;
  return later < 0 ? Number.POSITIVE_INFINITY : later;
}

export const isCallOf = (call: Call, { section, item, side }: Call): boolean =>
  call.section === section && call.item === item && call.side === side;

/** Who stood where in a wave, from call to call, left to right from the judges' table. */
export interface Stands {
  /** By each call of which something was said, oldest first, how they stood once all of it was. */
  turns: { call: number; stand: readonly CandidateId[] }[];
  /** Each word of the chief about all of them, and how they stood before and after it. */
  linedUp: LinedUp[];
}
interface LinedUp {
  /** From before any, where nothing was said of this wave before. */
  call: number;
  stamp: Stamp;
  before: readonly CandidateId[];
  after: readonly CandidateId[];
}

/** All of it, read once however many ask. Nobody stands where no lanes were written. @param lamport  without what the chief wrote of all of them later, but for the first */
export function standsOf(words: readonly LaneWord[], lamport = NOW): Stands {
  const stands: Stands = { turns: [], linedUp: [] };
  const { turns, linedUp } = stands;
  let stand: readonly CandidateId[] | undefined;
  let planned: readonly CandidateId[] = [];
  for (const word of words) {
    const { call, stamp, says } = word;
    const before = stand ?? [];
    if ("linedUp" in says) {
      if (stand && stamp.lamport > lamport) continue;
      stand = joined(before, planned, says.linedUp);
      planned = says.linedUp;
      linedUp.push({ call: word === words[0] ? -NOW : call, stamp, before, after: stand });
    } else if (stand) stand = swapped(stand, says.swap.body);
    else continue;
    if (turns.at(-1)?.call === call) turns.pop();
    turns.push({ call, stand });
  }
  return stands;
}

/** Who stood where from a call on; without one, now. Before the first call as they were first lined up. */
export const standAt = ({ turns, linedUp }: Stands, call = NOW): readonly CandidateId[] =>
  turns.findLast((turn) => turn.call <= call)?.stand ?? linedUp[0]?.after ?? [];

/** Where the chief's line only lets children come or go, whoever stays stands as was said meanwhile: its writer may not have heard of it. Else it is as it says. */
function joined(
  stand: readonly CandidateId[],
  before: readonly CandidateId[],
  now: readonly CandidateId[],
): CandidateId[] {
  const stay = (list: readonly CandidateId[], other: readonly CandidateId[]) =>
    list.filter((one) => other.includes(one));
  const kept = stay(before, now);
  const isWhole = kept.length === now.length && kept.length === before.length;
  if (isWhole || kept.join() !== stay(now, before).join()) return [...now];
  const lanes = stay(stand, now);
  for (const [at, one] of now.entries()) if (!lanes.includes(one)) lanes.splice(at, 0, one);
  return lanes;
}

/** Each of the two in the lane that was said, whoever stood there goes to where they come from; without lanes, as an app of before said it, in each other's place. */
function swapped(
  before: readonly CandidateId[],
  { candidates, lanes }: Said["body"],
): readonly CandidateId[] {
  if (!candidates.every((one) => before.includes(one))) return before;
  const [a, b] = candidates;
  const stand = [...before];
  const goes = (candidate: CandidateId, lane: number) => {
    const other = stand[lane];
    if (!other) return;
    stand[stand.indexOf(candidate)] = other;
    stand[lane] = candidate;
  };
  goes(a, lanes ? lanes[0] - 1 : stand.indexOf(b));
  if (lanes) goes(b, lanes[1] - 1);
  return stand;
}

/** As a mark says it: in which lane the child stands at this step, counted from 1; nothing for none. */
export function laneOf(
  { lanes }: { lanes?: readonly CandidateId[] },
  candidate: CandidateId,
): { lane?: number } {
  const lane = laneIn(lanes, candidate);
  return lane ? { lane } : {};
}

/** In which lane a candidate stands, counted from 1; undefined for none. */
export function laneIn(
  stand: readonly CandidateId[] | undefined,
  candidate: CandidateId,
): number | undefined {
  const at = stand?.indexOf(candidate) ?? -1;
  return at < 0 ? undefined : at + 1;
}
