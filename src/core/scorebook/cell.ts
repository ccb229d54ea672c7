import type {
  CandidateId,
  CriterionId,
  EntryId,
  ItemId,
  PersonId,
  SectionId,
} from "../identity.ts";
import type { How, MarkValue, Side } from "./entry.ts";
import { byAge, type Stamp } from "./order.ts";

/** Where in the rubric a mark belongs. `item: null` is a criterion marked once a section. */
export interface Place {
  section: SectionId;
  item: ItemId | null;
  side: Side | null;
  criterion: CriterionId;
}

/** One judge's mark of one cell, as reconciling reads it. */
export interface Mark extends Place {
  judge: PersonId;
  candidate: CandidateId;
  level: number | "not-seen";
  how: How;
}

/** Everything one judge ever wrote in one cell. */
export interface Write extends Stamp {
  entry: EntryId;
  level: MarkValue;
  how: How;
  replaces: readonly EntryId[];
}

export const placeKey = (place: Place): string =>
  `${place.section}/${place.item ?? ""}/${place.side ?? ""}/${place.criterion}`;

/**
 * The writes of one cell that no other write knowingly replaced, newest first.
 * On one device the later write knows the earlier; across devices `replaces` says so.
 * More than one head with different values is a conflict that this judge settles.
 */
export function heads(writes: readonly Write[]): Write[] {
  if (writes.length <= 1) return [...writes];
  const replaced = new Set(writes.flatMap((write) => write.replaces));
  const newestOfDevice = new Map<string, Write>();
  for (const write of writes) {
    const other = newestOfDevice.get(write.device);
    if (!other || write.n > other.n) newestOfDevice.set(write.device, write);
  }
  return [...newestOfDevice.values()]
    .filter((write) => !replaced.has(write.entry))
    .sort((a, b) => byAge(b, a));
}

/** The value that stands: the newest head; undefined when nothing was written. `cleared` stands as itself. */
export function standing(writes: readonly Write[]): Write | undefined {
  if (writes.length === 1) return writes[0];
  // A cycle of `replaces` can only be forged; then the newest write stands, so that the cell has an answer.
  return heads(writes)[0] ?? [...writes].sort((a, b) => byAge(b, a))[0];
}

/** Whether two tablets of one judge say different things, neither knowing the other. */
export function isInConflict(writes: readonly Write[]): boolean {
  if (writes.length < 2) return false;
  const open = heads(writes);
  return open.length > 1 && open.some((write) => write.level !== open[0]?.level);
}
