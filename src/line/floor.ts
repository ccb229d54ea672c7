import { deviceOf } from "../belt-test/scorebook/counts.ts";
import { type EntryOf, isKnown } from "../belt-test/scorebook/entry.ts";
import type { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import type { DeviceId } from "../book/identity.ts";
import { byAge } from "../book/order.ts";
import type { Floor } from "./protocol.ts";

/** What was last said of the floor. */
export interface FloorNow extends Floor {
  /** False where only the shout is known. */
  isKept: boolean;
  /** Who holds the device that said so; unknown of a shout. */
  device?: DeviceId;
}

/** How the floor stands: by the book, or by what was shouted and is in no book yet. */
export function floorNow(book: Scorebook, heard: Floor | undefined): FloorNow | undefined {
  if (heard && isNewsTo(book, heard)) return { ...heard, isKept: false };
  // Most of the day nothing was ever stopped, and the book need not be read.
  const last = book.floor.stop && saidOfFloor(book).at(-1);
  if (!last) return undefined;
  const { id: entry, by, at, lamport } = last;
  const device = deviceOf(last.device);
  const isAlone = last.kind === "stopped" && last.body.alone === true;
  const stopped = last.kind === "stopped";
  return { stopped, entry, by, at, lamport, device, isKept: true, ...(isAlone && { alone: true }) };
}

/** Whether the book says nothing of the floor that is as new. */
export const isNewsTo = (book: Scorebook, { lamport }: Floor): boolean =>
  saidOfFloor(book).every((said) => said.lamport < lamport);

/** What is told within this time is told at once, whatever the clocks say. Milliseconds. */
const AT_ONCE_MS = 60_000;

/**
 * Whether a stop was told so long after it was written that the floor has gone on without it. Asked when it is heard.
 * A clock alone never says so, since it may be a day off: the writer had no hub, or the floor was called on since.
 */
export function isToldLate(book: Scorebook, floor: Floor, heardAtMs: number): boolean {
  if (heardAtMs - floor.at < AT_ONCE_MS) return false;
  return floor.alone === true || book.floor.calls.some(({ lamport }) => lamport > floor.lamport);
}

/** Oldest first. */
function saidOfFloor(book: Scorebook): EntryOf<"stopped" | "floor-cleared">[] {
  const said: EntryOf<"stopped" | "floor-cleared">[] = [];
  for (const entry of book.entries())
    if (isKnown(entry) && (entry.kind === "stopped" || entry.kind === "floor-cleared"))
      said.push(entry);
  return said.sort(byAge);
}
