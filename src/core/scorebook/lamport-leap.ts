import type { AnyEntry } from "./entry.ts";

/** A logical time this far above the highest known is a broken or hostile clock. Design §4. */
export const LAMPORT_LEAP = 10_000;

/**
 * The first entry of a whole book whose logical time is further ahead of all others than any hub would have taken.
 * One such number would be everybody's next count: at the end of what a count may be, nobody could write a stop any more.
 */
export function leapIn(entries: readonly AnyEntry[]): AnyEntry | undefined {
  let highest = 0;
  for (const entry of [...entries].sort((a, b) => a.lamport - b.lamport)) {
    if (entry.lamport > highest + LAMPORT_LEAP) return entry;
    highest = entry.lamport;
  }
  return undefined;
}
