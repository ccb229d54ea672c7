import { heldAtOpenings, heldFirst } from "../belt-test/scorebook/held-first.ts";
import { deviceOf } from "../book/counts.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { CountId, DeviceId } from "../book/identity.ts";
import { inOrder } from "../book/in-order.ts";
import { isInRuns, type Run } from "./runs.ts";

/** What a hub has on its disk of one device: runs of numbers, count by count. */
export type Holds = ReadonlyMap<CountId, readonly Run[]>;

export const isHeldIn = (holds: Holds, { device, n }: Pick<AnyEntry, "device" | "n">): boolean =>
  isInRuns(holds.get(device) ?? [], n);

/**
 * What a device hands in again to a hub that was put back from an older copy: its own entries that the hub lacks, in the order in which they were
 * written, and with each opening among them what the lost hub had said it held there. Nobody else can give that back, and by what this hub holds now
 * it would say otherwise.
 */
export function owedAgain(book: Iterable<AnyEntry>, device: DeviceId, holds: Holds): AnyEntry[] {
  const all = [...book];
  const own = inOrder(
    all.filter((entry) => deviceOf(entry.device) === device && !isHeldIn(holds, entry)),
  );
  return heldFirst([...own, ...heldAtOpenings(all, new Set(own.map(({ id }) => id)))]);
}
