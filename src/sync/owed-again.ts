import type { DeviceId } from "../core/identity.ts";
import type { AnyEntry } from "../core/scorebook/entry.ts";
import { heldAtOpenings, heldFirst } from "../core/scorebook/held-first.ts";
import { isInRuns, type Run } from "./runs.ts";

/**
 * What a device hands in again to a hub that was put back from an older copy: its own entries that the hub lacks, in the order of its count, and
 * with each opening among them what the lost hub had said it held there. Nobody else can give that back, and by what this hub holds now it would say otherwise.
 */
export function owedAgain(
  book: Iterable<AnyEntry>,
  device: DeviceId,
  holds: readonly Run[],
): AnyEntry[] {
  const all = [...book];
  const own = all
    .filter((entry) => entry.device === device && !isInRuns(holds, entry.n))
    .sort((a, b) => a.n - b.n);
  return heldFirst([...own, ...heldAtOpenings(all, new Set(own.map(({ id }) => id)))]);
}
