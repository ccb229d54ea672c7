import type { DeviceId, EntryId, GradingId, PersonId } from "../identity.ts";
import type { EntryBody, EntryKind, EntryOf } from "./entry.ts";

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
}

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

  /** Takes note of logical time seen elsewhere, so that the next entry is newer than it. */
  hear(lamport: number): void {
    this.#lamport = Math.max(this.#lamport, lamport);
  }

  write<Kind extends EntryKind>(
    kind: Kind,
    body: EntryBody<Kind>,
    replaces: readonly EntryId[] = [],
  ): EntryOf<Kind> {
    const { grading, person, device, makeId, nowMs } = this.#settings;
    const entry = {
      id: makeId() as EntryId,
      grading,
      by: person,
      device,
      n: ++this.#n,
      lamport: ++this.#lamport,
      at: nowMs(),
      kind,
      body,
      ...(replaces.length > 0 ? { replaces: [...replaces] } : {}),
    };
    return entry as unknown as EntryOf<Kind>;
  }
}
