import { heldAtOpenings, heldFirst } from "../belt-test/scorebook/held-first.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { DeviceId } from "../book/identity.ts";
import { type Holds, lackedBy } from "./holds.ts";

/**
 * What a device hands in again to a hub that was put back from an older copy: its own entries that the hub lacks, in the order in which they were
 * written, and with each opening among them what the lost hub had said it held there. Nobody else can give that back, and by what this hub holds now
 * it would say otherwise.
 */
export function owedAgain(book: Iterable<AnyEntry>, device: DeviceId, holds: Holds): AnyEntry[] {
  const all = [...book];
  const own = lackedBy(holds, device, all);
  return heldFirst([...own, ...heldAtOpenings(all, new Set(own.map(({ id }) => id)))]);
}
