import type { Basis } from "../../book/counts.ts";
import type { CountId, DeviceId, EntryId, GradingId, PersonId } from "../../book/identity.ts";
import { vouchedEntryId } from "../../book/vouched-id.ts";
import { type EntryKind, kindsThatAre } from "../kinds/all-kinds.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import { countedPlace, countOf } from "./place-counts.ts";
import { RULES, type Rules, rulesOf } from "./rules.ts";

/** Whose hand, on which device, and where its counters stand. Time and ids come from outside. */
export interface PenSettings {
  grading: GradingId;
  person: PersonId;
  device: DeviceId;
  /** The last `n` this device has used in each of its counts in this grading; none for 0. */
  last?: ReadonlyMap<CountId, number>;
  /** The highest logical time this device has seen. */
  lamport?: number;
  /** A UUID of version 7. */
  makeId: () => string;
  nowMs: () => number;
  /** By which rules the book is read; today's where nothing is said. */
  rules?: () => Rules;
}

/**
 * What is told to nobody before the reveal does not make logical time go on: whoever sees the clock of a judge's next stop
 * would know how many taps came before it. On the device the count says what came first.
 */
const untimed = kindsThatAre("untimed");

/** Where an entry is written: in which count, at which place of it, at which logical time. */
export interface PenPlace {
  device: CountId;
  n: number;
  lamport: number;
}

/** Writes entries for one person on one device: gives each its id, its place in one of the device's counts, and its logical time. */
export class Pen {
  readonly #settings: PenSettings;
  readonly #last: Map<CountId, number>;
  #lamport: number;

  constructor(settings: PenSettings) {
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
  next<Kind extends EntryKind>(kind: Kind, body: EntryBody<Kind>): PenPlace {
    const rules = this.#rulesFor(kind, body);
    // By the first rules logical time tells what came after a lock, and a device has one count.
    const isTold = !untimed.has(kind) || rules === 1;
    if (isTold) this.#lamport++;
    // Logical time begins at 1.
    this.#lamport = Math.max(1, this.#lamport);
    const device = countOf(this.device, rules === 1 ? undefined : countedPlace(kind, body));
    const n = (this.#last.get(device) ?? 0) + 1;
    // Whoever reads it would find it malformed, and the book with it.
    if (!Number.isSafeInteger(n))
      throw new RangeError(`Pen: the count ${device} has no place after ${n}`);
    this.#last.set(device, n);
    return { device, n, lamport: this.#lamport };
  }

  #rulesFor(kind: EntryKind, body: object): Rules {
    // The line that opens a book says by which rules it is read.
    if (kind === "opened") return rulesOf((body as EntryBody<"opened">).rules);
    return this.#settings.rules?.() ?? RULES;
  }

  /** A lock's, or an answer's, `basis` is made whole: it speaks of all that its own count holds before it. */
  write<Kind extends EntryKind>(
    kind: Kind,
    body: EntryBody<Kind>,
    replaces: readonly EntryId[] = [],
  ): EntryOf<Kind> {
    const { grading, person, makeId, nowMs } = this.#settings;
    const place = this.next(kind, body);
    const entry = {
      id: (this.#rulesFor(kind, body) < 3
        ? makeId()
        : vouchedEntryId(makeId(), { grading, ...place })) as EntryId,
      grading,
      by: person,
      ...place,
      at: nowMs(),
      kind,
      body: speaking(kind, body, place),
      ...(replaces.length > 0 ? { replaces: [...replaces] } : {}),
    };
    return entry as unknown as EntryOf<Kind>;
  }
}

/** What a lock, or an answer, says at this place of its count: it speaks of everything before. */
export function speaking<Kind extends EntryKind>(
  kind: Kind,
  body: EntryBody<Kind>,
  { device, n }: PenPlace,
): EntryBody<Kind> {
  if (kind !== "locked" && kind !== "answered") return body;
  const { basis } = body as { basis: Basis };
  return { ...body, basis: { ...basis, [device]: n - 1 } };
}
