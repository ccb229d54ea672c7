import type { Scorebook } from "../core/scorebook/scorebook.ts";
import type { Floor } from "./protocol.ts";

/**
 * How the floor stands: by the book, or by what was shouted and is in no book yet.
 * @returns `isKept` false where only the shout is known.
 */
export function floorNow(
  book: Scorebook,
  heard: Floor | undefined,
): (Pick<Floor, "stopped" | "by" | "at"> & { isKept: boolean }) | undefined {
  if (heard && isNewsTo(book, heard)) return { ...heard, isKept: false };
  return book.stop && { ...book.stop, isKept: true };
}

/** Whether the book says nothing of the floor that is as new. */
export function isNewsTo(book: Scorebook, { lamport }: Floor): boolean {
  for (const entry of book.entries())
    if (entry.kind === "stopped" || entry.kind === "floor-cleared")
      if (entry.lamport >= lamport) return false;
  return true;
}
