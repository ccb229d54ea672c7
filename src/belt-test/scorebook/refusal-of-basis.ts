import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import { type EntryOf, isKnown } from "./entry.ts";
import type { Scorebook } from "./scorebook.ts";

/** What speaks of all that was written before it. */
export type LockOrAnswer = EntryOf<"locked" | "answered">;
export const isLockOrAnswer = (entry: AnyEntry): entry is LockOrAnswer =>
  isKnown(entry) && (entry.kind === "locked" || entry.kind === "answered");

/**
 * What a lock, or an answer, speaks of is exactly what its own count held before it, and of other counts nothing that the hub does not have:
 * a place that is still free in the count could be filled when the others' marks are known. Of another judge's counts it speaks in no case:
 * whether it is refused would tell how often that judge has tapped.
 */
export function refusalOfBasis(
  book: Scorebook,
  { by, device, n, body: { basis } }: LockOrAnswer,
): Fault | null {
  const held = book.basis as Record<string, number>;
  const said = basis as Record<string, number>;
  const isExact = (said[device] ?? 0) === n - 1;
  const isHeld = Object.entries(said).every(
    ([other, last]) =>
      other === device || (last <= (held[other] ?? 0) && book.hasWrittenIn(other, by)),
  );
  return isExact && isHeld ? null : { code: "BASIS_WRONG" };
}
