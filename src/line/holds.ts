import { deviceOf } from "../book/counts.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { CountId, DeviceId } from "../book/identity.ts";
import { inOrder } from "../book/in-order.ts";
import { isInRuns, type Run } from "./runs.ts";

/** What a hub has on its disk of one device: runs of numbers, count by count. */
export type Holds = ReadonlyMap<CountId, readonly Run[]>;

export const isHeldIn = (holds: Holds, { device, n }: Pick<AnyEntry, "device" | "n">): boolean =>
  isInRuns(holds.get(device) ?? [], n);

/** What this device wrote and the hub lacks, in the order in which it was written. */
export const lackedBy = (holds: Holds, device: DeviceId, entries: Iterable<AnyEntry>): AnyEntry[] =>
  inOrder(
    [...entries].filter((entry) => deviceOf(entry.device) === device && !isHeldIn(holds, entry)),
  );
