import type { CountId } from "../../book/identity.ts";
import type { AnyEntry } from "./entry.ts";

/** Entries in logical time, each count by itself: the order in which they may have been written. */
export function inOrder<Entry extends Pick<AnyEntry, "device" | "n" | "lamport">>(
  entries: readonly Entry[],
): Entry[] {
  const highest = new Map<CountId, number>();
  return [...entries]
    .sort((a, b) => a.n - b.n)
    .map((entry) => {
      const at = Math.max(entry.lamport, highest.get(entry.device) ?? 0);
      highest.set(entry.device, at);
      return { entry, at };
    })
    .sort((a, b) => a.at - b.at)
    .map(({ entry }) => entry);
}
