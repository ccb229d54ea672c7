import type { EntryId, PersonId } from "../../book/identity.ts";
import { byAge, type Stamp } from "../../book/order.ts";
import type { CandidateId, CriterionId, ItemId, SectionId } from "../identity.ts";
import type { How, MarkValue } from "../kinds/body-parts.ts";
import type { Side } from "../rubric/rubric.ts";

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
  /** The request it was written for. */
  answers?: EntryId | undefined;
  /** In which lane the child stood on the judge's glass, counted from 1; undefined where an app of before wrote it. */
  lane?: number | undefined;
  /** By which scale it was given, see `scaleOf`; undefined likewise. */
  scale?: readonly [number, number] | undefined;
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

/**
 * One judge's cell of one candidate. What stands is known without reading everything again that was ever written in it:
 * a hand that goes to and fro on one cell costs no more than one that goes on.
 */
export class CellHistory {
  readonly judge: PersonId;
  readonly place: Place;
  /** Where this judge's lock of the section is found; kept, since every reading of the marks asks for it. */
  readonly lock: string;
  readonly writes: Write[] = [];
  /** Only where there are several writes: nearly every cell has one. */
  #several: { newestOfDevice: Map<string, Write>; replaced: Set<EntryId> } | undefined;

  constructor(judge: PersonId, place: Place, lock: string) {
    this.judge = judge;
    this.place = place;
    this.lock = lock;
  }

  add(write: Write): void {
    this.writes.push(write);
    if (this.writes.length === 1) return;
    const news = this.#several ? [write] : this.writes;
    this.#several ??= { newestOfDevice: new Map(), replaced: new Set() };
    const { newestOfDevice, replaced } = this.#several;
    for (const one of news) {
      const other = newestOfDevice.get(one.device);
      if (!other || one.n > other.n) newestOfDevice.set(one.device, one);
      for (const id of one.replaces) replaced.add(id);
    }
  }
  /** As `heads` of all that was written. */
  get heads(): Write[] {
    if (!this.#several) return [...this.writes];
    const { newestOfDevice, replaced } = this.#several;
    return [...newestOfDevice.values()]
      .filter((write) => !replaced.has(write.entry))
      .sort((a, b) => byAge(b, a));
  }
  /** As `writeThatStands` of all that was written. */
  get stands(): Write | undefined {
    return this.heads[0] ?? writeThatStands(this.writes);
  }
}

/** The value that stands: the newest head; undefined when nothing was written. `cleared` stands as itself. */
export function writeThatStands(writes: readonly Write[]): Write | undefined {
  if (writes.length === 1) return writes[0];
  // A cycle of `replaces` can only be forged; then the newest write stands, so that the cell has an answer.
  return heads(writes)[0] ?? [...writes].sort((a, b) => byAge(b, a))[0];
}

/** Whether two tablets of one judge say different things, neither knowing the other. @param open  the heads of a cell */
export function isInConflict(open: readonly Write[]): boolean {
  return open.length > 1 && open.some((write) => write.level !== open[0]?.level);
}
