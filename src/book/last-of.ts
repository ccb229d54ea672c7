import { deviceOf } from "./counts.ts";
import type { AnyEntry } from "./entry.ts";
import type { CountId, DeviceId } from "./identity.ts";

/** The last place in each count of one device, stops and their like included: where its pen goes on. */
export function lastOf(
  entries: Iterable<Pick<AnyEntry, "device" | "n">>,
  device: DeviceId,
): Map<CountId, number> {
  const last = new Map<CountId, number>();
  for (const { device: count, n } of entries)
    if (deviceOf(count) === device) last.set(count, Math.max(last.get(count) ?? 0, n));
  return last;
}
