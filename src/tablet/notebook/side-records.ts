import type { SideRecordId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { Clock } from "../../ports/clock.ts";

/** An erasing that the disk refused is asked of it again after this long. Milliseconds. */
const AGAIN_MS = 5000;

/** The names and texts beside a book, as this device has them: none of whoever was erased. */
export class SideRecords {
  readonly byId = new Map<SideRecordId, SideRecord>();
  readonly #clock: Clock;
  readonly #eraseOnDisk: (about: string) => Promise<unknown>;

  constructor(clock: Clock, eraseOnDisk: (about: string) => Promise<unknown>) {
    this.#clock = clock;
    this.#eraseOnDisk = eraseOnDisk;
  }

  add(records: readonly SideRecord[]): void {
    for (const record of records) this.byId.set(record.id, record);
  }
  /** Whoever was erased is nobody here any more either: gone from memory at once, and from the disk as soon as it answers. */
  forget(erased: ReadonlySet<string>): void {
    if (erased.size === 0) return;
    const held = new Set<string>();
    for (const { id, about } of this.byId.values()) {
      if (!erased.has(about)) continue;
      held.add(about);
      this.byId.delete(id);
    }
    for (const about of held) this.#erase(about);
  }
  #erase(about: string): void {
    this.#eraseOnDisk(about).catch(() => {
      this.#clock.after(AGAIN_MS, () => this.#erase(about));
    });
  }
}
