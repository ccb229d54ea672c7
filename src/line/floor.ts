import type { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { deviceOf } from "../book/counts.ts";
import type { DeviceId } from "../book/identity.ts";
import type { Shout } from "./protocol.ts";

/** A stop that stands. */
export interface FloorNow extends Shout {
  /** False where only the shout is known. */
  isKept: boolean;
  /** Who holds the device that said so; unknown of a shout. */
  device?: DeviceId;
}

/**
 * Whether what was shouted is in the book. Another line under its id is not it, and not everybody may be sent that one: the shout stands on all tablets
 * or on none.
 */
export const isInBook = (book: Scorebook, { entry, stopped }: Shout): boolean =>
  book.entry(entry)?.kind === (stopped ? "stopped" : "floor-cleared");

/** Every stop that nobody who knew of it has cleared, by the book and by what was shouted and is in no book yet; oldest first. */
export function stopsNow(book: Scorebook, heard: readonly Shout[]): FloorNow[] {
  const kept = book.floor.stops.map(({ id: entry, by, at, lamport, device, body }) => ({
    stopped: true,
    entry,
    by,
    at,
    lamport,
    device: deviceOf(device),
    isKept: true,
    ...(body.alone === true && { alone: true }),
  }));
  const shouted = heard
    .filter((floor) => floor.stopped && !isInBook(book, floor))
    .map((floor) => ({ ...floor, isKept: false }));
  return [...kept, ...shouted]
    .filter((floor) => !isCleared(book, heard, floor))
    .sort((a, b) => a.lamport - b.lamport);
}

/** Whether the floor was cleared of a stop, by the book or by what was shouted. */
export const isCleared = (book: Scorebook, heard: readonly Shout[], floor: Shout): boolean => {
  const { entry: id, lamport } = floor;
  // Nothing is known of the device of a shout: against a word of an earlier version it is the older of two that are of one time.
  return (
    (!isInBook(book, floor) && book.floor.isCleared({ id, lamport, device: "", n: 0 })) ||
    heard.some((clear) => !clear.stopped && (clear.stops?.includes(id) ?? lamport < clear.lamport))
  );
};

/** One person's shouts that are kept nowhere yet: whoever shouts on takes the place of their own. */
const MOST_OF_ONE = 20;

/** What was shouted and is in no book yet, with one shout more; in the order in which it was heard. */
export function withShout(book: Scorebook, heard: readonly Shout[], floor: Shout): Shout[] {
  const others = heard.filter((one) => one.entry !== floor.entry && !isInBook(book, one));
  const theirs = others.filter(({ by }) => by === floor.by);
  const tooMany = theirs.length >= MOST_OF_ONE && theirs[0];
  return [...others.filter((one) => one !== tooMany), floor];
}

/** What is told within this time is told at once, whatever the clocks say. Milliseconds. */
const AT_ONCE_MS = 60_000;

/**
 * Whether a stop was told so long after it was written that the floor has gone on without it. Asked when it is heard.
 * A clock alone never says so, since it may be a day off: the writer had no hub, or the floor was called on since.
 */
export function isToldLate(book: Scorebook, floor: Shout, heardAtMs: number): boolean {
  if (heardAtMs - floor.at < AT_ONCE_MS) return false;
  return floor.alone === true || book.floor.calls.some(({ lamport }) => lamport > floor.lamport);
}
