import { deviceOf } from "./counts.ts";
import type { AnyEntry } from "./entry.ts";
import type { CountId } from "./identity.ts";

const isOfPlace = ({ device }: Pick<AnyEntry, "device">): number =>
  Number(device !== deviceOf(device));

/** Entries in logical time, each count by itself: the order in which they may have been written. */
export function inOrder<Entry extends Pick<AnyEntry, "device" | "n" | "lamport">>(
  entries: readonly Entry[],
): Entry[] {
  const highest = new Map<CountId, number>();
  return (
    [...entries]
      .sort((a, b) => a.n - b.n)
      .map((entry) => {
        const at = Math.max(entry.lamport, highest.get(entry.device) ?? 0);
        highest.set(entry.device, at);
        return { entry, at };
      })
      // Marks bear the time of what their device wrote last: of one moment that comes first.
      .sort((a, b) => a.at - b.at || isOfPlace(a.entry) - isOfPlace(b.entry))
      .map(({ entry }) => entry)
  );
}
