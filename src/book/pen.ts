import type { AnyEntry, EntryOfKind } from "./entry.ts";
import type { CountId, DeviceId, EntryId, GradingId, PersonId } from "./identity.ts";
import { isOfVouchingForm, vouchedEntryId } from "./vouched-id.ts";

/** Whose hand, on which device, and where its counters stand. Time and ids come from outside. */
export interface PenSettings {
  grading: GradingId;
  person: PersonId;
  device: DeviceId;
  /** The last `n` this device has used in each of its counts in this book; none for 0. */
  last?: ReadonlyMap<CountId, number>;
  /** The highest logical time this device has seen. */
  lamport?: number;
  /** A UUID of version 7. */
  makeId: () => string;
  nowMs: () => number;
}

/** Where an entry is written: in which count, at which place of it, at which logical time. */
export interface PenPlace {
  device: CountId;
  n: number;
  lamport: number;
}

/** What the kinds of a book say, by kind. */
export type AnyBodies<Bodies> = { [Kind in keyof Bodies]: AnyEntry["body"] };

/** What a book asks of the pen that writes in it. */
export interface PenRules {
  /** Whether logical time goes on with it. */
  isTimed(kind: string, body: object): boolean;
  /** In which of the device's counts it stands. */
  countFor(device: DeviceId, kind: string, body: object): CountId;
  /** Whether its id vouches for its place; books of before take any id. */
  isVouched(kind: string, body: object): boolean;
  /** The same body, with what it says of its own place. */
  placed<Body extends object>(kind: string, body: Body, place: PenPlace): Body;
}

/** Writes entries for one person on one device: gives each its id, its place in one of the device's counts, and its logical time. */
export class PenOf<Bodies extends AnyBodies<Bodies>> {
  readonly #rules: PenRules;
  readonly #settings: PenSettings;
  readonly #last: Map<CountId, number>;
  #lamport: number;

  constructor(rules: PenRules, settings: PenSettings) {
    this.#rules = rules;
    this.#settings = settings;
    this.#last = new Map(settings.last);
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

  /** Where the next entry that says this stands; each place is given once. */
  #next(kind: string, body: object): PenPlace {
    const { isTimed, countFor } = this.#rules;
    if (isTimed(kind, body)) this.#lamport++;
    // Logical time begins at 1.
    this.#lamport = Math.max(1, this.#lamport);
    const device = countFor(this.device, kind, body);
    const n = (this.#last.get(device) ?? 0) + 1;
    // Whoever reads it would find it malformed, and the book with it.
    if (!Number.isSafeInteger(n))
      throw new RangeError(`Pen: the count ${device} has no place after ${n}`);
    this.#last.set(device, n);
    return { device, n, lamport: this.#lamport };
  }

  write<Kind extends keyof Bodies & string>(
    kind: Kind,
    body: Bodies[Kind],
    replaces: readonly EntryId[] = [],
  ): EntryOfKind<Kind, Bodies[Kind]> {
    const { isVouched, placed } = this.#rules;
    const { grading, person, makeId, nowMs } = this.#settings;
    const place = this.#next(kind, body);
    const id = makeId();
    return {
      id: isVouched(kind, body) ? vouchedEntryId(id, { grading, ...place }) : (id as EntryId),
      grading,
      by: person,
      ...place,
      at: nowMs(),
      kind,
      body: placed(kind, body, place),
      ...(replaces.length > 0 ? { replaces: [...replaces] } : {}),
    };
  }

  /** The same word at the next free place, under an id that vouches for that one: also what it says of its own place is another. */
  writeAnew(entry: AnyEntry): AnyEntry {
    const { id, grading, kind, body } = entry;
    const place = this.#next(kind, body);
    return {
      ...entry,
      ...place,
      id: isOfVouchingForm(id) ? vouchedEntryId(id, { grading, ...place }) : id,
      body: this.#rules.placed(kind, body, place),
    };
  }
}
