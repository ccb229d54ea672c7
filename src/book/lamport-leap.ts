import type { AnyEntry } from "./entry.ts";

/** A logical time this far above the highest known is a broken or hostile clock. Design §4. */
const LAMPORT_LEAP = 10_000;

/**
 * How high a logical time may be at all, however far ahead: of a stop, an incident or a withdrawal, which are never refused for being ahead;
 * and of whoever is chief, whose count draws up a hub that was put back from an older copy. What a stop leaves the chief, and the chief
 * everybody, is more than any number of hands writes: the schema ends at 2^48.
 */
const HIGHEST_OF_ANYONE = 2 ** 46;
const HIGHEST_OF_CHIEF = 2 ** 47;

/** Whose word it is: anybody's in need (a stop and its like), the chief's, or any other. */
type Word = "anyone" | "chief" | "other";

/** The highest logical time that is taken of somebody, where `known` is the highest there is. */
export function highestTaken(known: number, word: Word): number {
  const near = known + LAMPORT_LEAP;
  if (word === "chief") return Math.max(near, HIGHEST_OF_CHIEF);
  return word === "anyone" ? Math.max(near, HIGHEST_OF_ANYONE) : near;
}

/**
 * The first entry of a whole book whose logical time no hub would have taken of anybody.
 * One such number would be everybody's next count: at the end of what a count may be, nobody could write a stop any more.
 */
export function leapIn<Line extends Pick<AnyEntry, "lamport">>(
  entries: readonly Line[],
): Line | undefined {
  let highest = 0;
  for (const entry of [...entries].sort((a, b) => a.lamport - b.lamport)) {
    if (entry.lamport > highestTaken(highest, "chief")) return entry;
    highest = entry.lamport;
  }
  return undefined;
}
