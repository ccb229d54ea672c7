import type { EntryKind } from "../../src/belt-test/kinds/all-kinds.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { EntryBody } from "../../src/belt-test/scorebook/entry.ts";
import { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { fold, Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, EntryId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { Handed } from "../../src/hub/room/handed.ts";
import type { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { atOnce } from "./lying-hall.ts";

/** Told what became of each share of lines. */
export type OnHanded = (
  tablet: RoomTablet,
  handed: readonly AnyEntry[],
  answer: Handed,
) => void | Promise<void>;

/** A tablet at the door of one room: writes whether it is on the line or not, sends and hears when it is, and offers what was refused again when it has heard news. */
export class RoomTablet {
  book = new Scorebook();
  isOnline = true;
  readonly person: PersonId;
  readonly roles: readonly Role[];
  readonly device: DeviceId;
  readonly #pen: Pen;
  /** What counts on this tablet: its own but for what was refused, and what it has heard. */
  readonly #kept = new Map<EntryId, AnyEntry>();
  readonly #refused = new Map<EntryId, AnyEntry>();
  readonly #sides = new Map<EntryId, SideRecord>();
  #outbox: AnyEntry[] = [];
  #heard = 0;

  constructor(person: string, device: string, role: Role, makeId: () => string) {
    this.person = person as PersonId;
    this.device = device as DeviceId;
    this.roles = [role];
    const { nowMs } = atOnce;
    this.#pen = new Pen({
      grading: aGradingId,
      person: this.person,
      device: this.device,
      makeId,
      nowMs,
    });
  }

  get unsent(): readonly AnyEntry[] {
    return this.#outbox;
  }
  /** All that this tablet goes by, as it would save it in a file. */
  get lines(): readonly AnyEntry[] {
    return [...this.#kept.values()];
  }
  get sides(): readonly SideRecord[] {
    return [...this.#sides.values()];
  }
  write<Kind extends EntryKind>(
    kind: Kind,
    body: EntryBody<Kind>,
    { replaces = [], side }: { replaces?: readonly EntryId[]; side?: SideRecord | undefined } = {},
  ): AnyEntry {
    const entry = this.#pen.write(kind, body, replaces) as AnyEntry;
    this.#outbox.push(entry);
    if (side) this.#sides.set(entry.id, side);
    this.#kept.set(entry.id, entry);
    this.book.add(entry);
    return entry;
  }
  /** What comes from others: by the line, in a pack or in a file. */
  hear(lines: readonly AnyEntry[]): void {
    for (const entry of lines) {
      this.#pen.hear(entry.lamport);
      this.#kept.set(entry.id, entry);
      this.book.add(entry);
    }
  }

  /** @param share  so many lines go in one frame */
  async meet(room: GradingRoom, share: number, onHanded: OnHanded): Promise<void> {
    if (!this.isOnline) return;
    await this.#send(room, share, onHanded);
    if (!this.#hear(room) || this.#refused.size === 0) return;
    this.#outbox = [...this.#refused.values(), ...this.#outbox];
    await this.#send(room, share, onHanded);
    this.#hear(room);
  }

  async #send(room: GradingRoom, share: number, onHanded: OnHanded): Promise<void> {
    const waiting = this.#outbox;
    this.#outbox = [];
    for (let at = 0; at < waiting.length; at += share) {
      const lines = waiting.slice(at, at + share);
      const sides = lines.flatMap(({ id }) => this.#sides.get(id) ?? []);
      const answer = await room.handIn(this, lines, sides);
      this.#take(lines, answer);
      await onHanded(this, lines, answer);
    }
  }
  #take(lines: readonly AnyEntry[], { kept, refused }: Handed): void {
    const faults = new Map(refused.map(({ id, fault }) => [id, fault]));
    let isOther = false;
    for (const entry of lines) {
      const isKept = kept.includes(entry.id);
      if (faults.get(entry.id)?.code === "N_GAP") this.#outbox.push(entry);
      else if (isKept && this.#refused.delete(entry.id)) {
        this.#kept.set(entry.id, entry);
        this.book.add(entry);
      } else if (!isKept) {
        this.#refused.set(entry.id, entry);
        isOther = this.#kept.delete(entry.id) || isOther;
      }
    }
    if (isOther) this.book = fold(this.#kept.values());
  }
  /** @returns whether there was news */
  #hear(room: GradingRoom): boolean {
    const feed = room.feed(this);
    const lines = feed.after(this.#heard);
    this.#heard = feed.length;
    this.hear(lines.map(({ entry }) => entry));
    return lines.length > 0;
  }
}
