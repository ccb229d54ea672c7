import { isKnown } from "../../src/belt-test/scorebook/entry.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { StoredEntry } from "../../src/book/stored-entry.ts";
import { SightOracle } from "./sight-oracle.ts";
import { StoodAtLock } from "./stood-at-lock.ts";

/** A device at the door, as the hub's disk knows it when something leaves for it. */
interface Recipient {
  person: string;
  roles: readonly string[];
  isAdmitted: boolean;
}
/** What may be said to somebody who is not admitted. */
const sayable: ReadonlySet<string> = new Set(["bye", "refuse", "pong"]);

/** Sees everything that was promised to anybody, and says what was not kept. */
export class Witness {
  oracle = new SightOracle();
  /** On the hub's disk now. */
  committed = new Map<string, AnyEntry>();
  /** Acknowledged to some tablet at some time. */
  readonly acknowledged = new Set<string>();
  /** Shown as kept, by the device that showed it. */
  readonly kept = new Map<string, string>();
  readonly broken: string[] = [];
  wasRestored = false;
  /** What the hub sent, for the figures. */
  frames = 0;
  /** What each judge had before their eyes when locking, by the lock's id. */
  readonly seenAtLock = new Map<string, readonly string[]>();
  readonly #numbers = new Set<string>();
  stood = new StoodAtLock();

  breaks(what: string): void {
    if (this.broken.length < 20) this.broken.push(what);
  }

  onCommit(lines: readonly StoredEntry[]): void {
    for (const { entry } of lines) {
      const number = `${entry.device}/${entry.n}`;
      if (this.committed.has(entry.id)) this.breaks(`doubled at the hub: ${entry.id}`);
      if (this.#numbers.has(number)) this.breaks(`two entries at the hub have number ${number}`);
      this.#numbers.add(number);
      this.committed.set(entry.id, entry);
      if (isKnown(entry)) this.oracle.committed(entry);
    }
    this.stood.committed(lines.map(({ entry }) => entry));
  }
  /** The hub's disk is an older one now. @param known  entries that the chief's tablets have */
  onRestore(lines: readonly StoredEntry[], known: ReadonlySet<string>): void {
    this.wasRestored = true;
    this.oracle = new SightOracle();
    this.stood = this.stood.afterRestore(known);
    this.committed = new Map();
    this.#numbers.clear();
    this.acknowledged.clear();
    this.onCommit(lines);
  }

  onSends(to: Recipient, text: string): void {
    this.frames++;
    for (const leak of this.oracle.leaksIn(to, text))
      this.breaks(`${to.person} (${to.roles.join()}) was sent ${leak}`);
    const frame = JSON.parse(text) as { frame: string; ids?: string[]; entries?: AnyEntry[] };
    if (!to.isAdmitted && !sayable.has(frame.frame))
      this.breaks(`${to.person} is not admitted and was sent a ${frame.frame} frame`);
    for (const id of frame.ids ?? []) {
      if (!this.committed.has(id)) this.breaks(`acknowledged and not on the hub's disk: ${id}`);
      this.acknowledged.add(id);
    }
    for (const entry of frame.entries ?? []) {
      if (!this.committed.has(entry.id)) this.breaks(`sent and not on the hub's disk: ${entry.id}`);
      if (!this.oracle.maySee(to, entry))
        this.breaks(`${to.person} (${to.roles.join()}) was sent ${entry.kind} ${entry.id}`);
    }
    if (frame.frame !== "entries" && text.includes('"level"'))
      this.breaks(`a ${frame.frame} frame speaks of a level`);
  }
  onKept(device: string, id: string, isOnDisk: boolean): void {
    if (!isOnDisk) this.breaks(`shown as kept and not on the disk of ${device}: ${id}`);
    this.kept.set(id, device);
  }
}
