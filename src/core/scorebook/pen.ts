import type { DeviceId, EntryId, GradingId, PersonId } from "../identity.ts";
import type { EntryBody, EntryKind, EntryOf } from "./entry.ts";
import { RULES, type Rules } from "./rules.ts";

/** Whose hand, on which device, and where its counters stand. Time and ids come from outside. */
export interface PenSettings {
  grading: GradingId;
  person: PersonId;
  device: DeviceId;
  /** The last `n` this device has used in this grading; 0 for none. */
  n?: number;
  /** The highest logical time this device has seen. */
  lamport?: number;
  makeId: () => string;
  nowMs: () => number;
  /** By which rules the book is read; today's where nothing is said. */
  rules?: () => Rules;
}

/**
 * What is told to nobody before the reveal does not make logical time go on: whoever sees the clock of a judge's next stop
 * would know how many taps came before it. On the device the count says what came first.
 */
const untimed: ReadonlySet<EntryKind> = new Set<EntryKind>(["mark", "overall", "faults", "note"]);

/** Writes entries for one person on one device: gives each its id, its place in the device's count and its logical time. */
export class Pen {
  readonly #settings: PenSettings;
  #n: number;
  #lamport: number;

  constructor(settings: PenSettings) {
    this.#settings = settings;
    this.#n = settings.n ?? 0;
    this.#lamport = settings.lamport ?? 0;
  }

  get device(): DeviceId {
    return this.#settings.device;
  }
  /** The highest logical time written or heard of. */
  get lamport(): number {
    return this.#lamport;
  }
  /** Takes note of logical time seen elsewhere, so that the next entry is newer than it. */
  hear(lamport: number): void {
    this.#lamport = Math.max(this.#lamport, lamport);
  }

  /** The place in the count, and the logical time, that the next entry of this kind has; each is given once. */
  next(kind: EntryKind): { n: number; lamport: number } {
    // By the first rules logical time tells what came after a lock.
    const isTold = !untimed.has(kind) || (this.#settings.rules?.() ?? RULES) === 1;
    if (isTold) this.#lamport++;
    // Logical time begins at 1.
    this.#lamport = Math.max(1, this.#lamport);
    return { n: ++this.#n, lamport: this.#lamport };
  }

  /** @param body  may be made from the place that the entry has in the count, such as a lock's */
  write<Kind extends EntryKind>(
    kind: Kind,
    body: EntryBody<Kind> | ((n: number) => EntryBody<Kind>),
    replaces: readonly EntryId[] = [],
  ): EntryOf<Kind> {
    const { grading, person, device, makeId, nowMs } = this.#settings;
    const { n, lamport } = this.next(kind);
    const entry = {
      id: makeId() as EntryId,
      grading,
      by: person,
      device,
      n,
      lamport,
      at: nowMs(),
      kind,
      body: typeof body === "function" ? body(n) : body,
      ...(replaces.length > 0 ? { replaces: [...replaces] } : {}),
    };
    return entry as unknown as EntryOf<Kind>;
  }
}
