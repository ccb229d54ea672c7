import type { AnyEntry } from "../../book/entry.ts";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { DeviceId, EntryId } from "../../book/identity.ts";
import { lastOf } from "../../book/last-of.ts";
import type { AnyBodies, PenOf, PenSettings } from "../../book/pen.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import type { Clock } from "../../ports/clock.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";

/** What the disk refused is asked of it again after this long. Milliseconds. */
const AGAIN_MS = 5000;

export type Counters = Pick<PenSettings, "last" | "lamport">;

/** A line on its way to the disk: under another id and at another place, where a second tab has taken its number meanwhile. */
export interface OwnLine {
  entry: AnyEntry;
  readonly sides: readonly SideRecord[];
}

/** The notebook these lines are written in. */
interface Around<Bodies extends AnyBodies<Bodies>> {
  store: TabletStore;
  clock: Clock;
  pass: () => Pass;
  newPen: (counters: Counters) => PenOf<Bodies>;
  isErased: (about: SideRecord["about"]) => boolean;
  /** The disk has other lines than this device knew of: the book is these. */
  onDisk: (lines: readonly StoredEntry[]) => void;
  /** A line has another place, and an id that vouches for it. */
  renumbered: (before: EntryId, now: AnyEntry) => void;
  kept: (entries: AnyEntry[], sides: SideRecord[]) => void;
  changed: () => void;
}

/**
 * What this person writes on this device, on its way to the disk: numbered by a pen, one transaction at a time.
 * If the disk refuses, the lines stay in memory and the reason in `fault`; they are tried again with every further write and every five seconds.
 */
export class OwnLines<Bodies extends AnyBodies<Bodies>> {
  /** Why the disk does not keep; undefined while all is well. */
  fault: Fault | undefined;
  readonly #around: Around<Bodies>;
  #pen: PenOf<Bodies>;
  readonly #unkept = new Map<EntryId, OwnLine>();
  #keeping: Promise<void> | undefined;
  #callOffRetry: (() => void) | undefined;

  constructor(around: Around<Bodies>, counters: Counters) {
    this.#around = around;
    this.#pen = around.newPen(counters);
  }

  get pen(): PenOf<Bodies> {
    return this.#pen;
  }
  get unkept(): number {
    return this.#unkept.size;
  }
  unkeptIds(): EntryId[] {
    return [...this.#unkept.keys()];
  }
  isKept(id: EntryId): boolean {
    return !this.#unkept.has(id);
  }
  /** Another person writes here from now on. */
  handedOver(counters: Counters): void {
    this.#pen = this.#around.newPen(counters);
  }

  add(line: OwnLine): void {
    this.#unkept.set(line.entry.id, line);
  }
  /** One transaction at a time; whatever was written meanwhile shares the next one. */
  keep(): Promise<void> {
    this.#keeping ??= this.#keepAll().finally(() => {
      this.#keeping = undefined;
    });
    return this.#keeping.then(() =>
      this.#unkept.size > 0 && !this.fault ? this.keep() : undefined,
    );
  }

  async #keepAll(): Promise<void> {
    this.#callOffRetry?.();
    const batch = [...this.#unkept.values()];
    if (batch.length === 0) return;
    const { store, clock, pass, isErased, kept, changed } = this.#around;
    const entries = batch.map(({ entry }) => entry);
    const sides = batch.flatMap((one) => one.sides).filter(({ about }) => !isErased(about));
    try {
      await store.keep(pass().grading, entries, sides);
    } catch (error) {
      const fault: Fault =
        error instanceof FaultError
          ? error.fault
          : { code: "STORE_CLOSED", with: { reason: String(error) } };
      if (fault.code === "N_REUSED") return this.#renumber();
      this.fault = fault;
      this.#callOffRetry = clock.after(AGAIN_MS, () => void this.keep());
      changed();
      return;
    }
    for (const { id } of entries) this.#unkept.delete(id);
    this.fault = undefined;
    changed();
    kept(entries, sides);
  }

  /** A number is taken: by another tab of this device, or by our own write whose answer was lost. Reads the disk and counts on from there. */
  async #renumber(): Promise<void> {
    const { store, pass, newPen, onDisk, renumbered, kept, changed } = this.#around;
    const { grading, device } = pass();
    const lines = await store.read(grading, 0);
    // Nothing is waited for from here on: what is written meanwhile would take a number between.
    this.#pen = newPen(countersIn(lines, device));
    onDisk(lines);
    const ids = new Set(lines.map(({ entry }) => entry.id));
    for (const [id, line] of [...this.#unkept]) {
      this.#unkept.delete(id);
      // Written after all: the disk had it, and only the answer was lost.
      if (ids.has(id)) {
        kept([line.entry], [...line.sides]);
        continue;
      }
      line.entry = this.#pen.writeAnew(line.entry);
      this.#unkept.set(line.entry.id, line);
      renumbered(id, line.entry);
    }
    this.fault = undefined;
    changed();
    await this.#keepAll();
  }
}

/** Where the counts of a device, and logical time, stand by what is on its disk. */
export const countersIn = (lines: readonly StoredEntry[], device: DeviceId): Counters => ({
  last: lastOf(
    lines.map(({ entry }) => entry),
    device,
  ),
  lamport: lines.reduce((newest, { entry }) => Math.max(newest, entry.lamport), 0),
});
