import type { EntryKind } from "../../src/belt-test/kinds/all-kinds.ts";
import type { EntryBody, EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { fold, Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, EntryId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { Page } from "./person.ts";

/** What an honest tablet does with a book, without disk, line or clock: writes, hears, sends, and takes nothing for kept that was refused. */
export class LoosePage implements Page {
  readonly pass: { device: DeviceId };
  readonly link = "live";
  book = new Scorebook();
  /** Out of the hub's reach: neither hears nor sends. */
  isAway = false;
  /** How much of its feed it has heard. */
  heard = 0;
  readonly #pen: Pen;
  readonly #entries = new Map<EntryId, AnyEntry>();
  #outbox: { entry: AnyEntry; sides: readonly SideRecord[] }[] = [];

  constructor(
    grading: GradingId,
    person: PersonId,
    device: string,
    more: { makeId: () => string; nowMs: () => number },
  ) {
    this.pass = { device: device as DeviceId };
    this.#pen = new Pen({ grading, person, device: this.pass.device, ...more });
  }

  isKept(id: EntryId): boolean {
    return this.#entries.has(id) && !this.#outbox.some(({ entry }) => entry.id === id);
  }
  async write<Kind extends EntryKind>(
    kind: Kind,
    body: EntryBody<Kind>,
    more: { replaces?: readonly EntryId[]; sides?: readonly SideRecord[] } = {},
  ): Promise<EntryOf<Kind>> {
    const entry = this.#pen.write(kind, body, more.replaces);
    this.#outbox.push({ entry: entry as AnyEntry, sides: more.sides ?? [] });
    this.#enter(entry as AnyEntry);
    return entry;
  }
  hear(entries: readonly AnyEntry[]): void {
    this.heard += entries.length;
    for (const entry of entries) {
      this.#pen.hear(entry.lamport);
      this.#enter(entry);
    }
  }
  /** Everything that waits; sent once, for nothing is lost on this line. */
  takeOutbox(): { entries: AnyEntry[]; sides: SideRecord[] } {
    const waiting = this.#outbox;
    this.#outbox = [];
    return {
      entries: waiting.map(({ entry }) => entry),
      sides: waiting.flatMap(({ sides }) => sides),
    };
  }
  refused(ids: readonly (EntryId | null)[]): void {
    if (ids.length === 0) return;
    for (const id of ids) if (id) this.#entries.delete(id);
    this.book = fold(this.#entries.values());
  }
  #enter(entry: AnyEntry): void {
    this.#entries.set(entry.id, entry);
    this.book.add(entry);
  }
}
