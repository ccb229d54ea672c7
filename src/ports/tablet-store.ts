import type { Role } from "../belt-test/kinds/body-parts.ts";
import type { MarkedPlace } from "../belt-test/kinds/marked-place.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { Fault } from "../book/faults.ts";
import type { DeviceId, EntryId, GradingId, PersonId, SideRecordId } from "../book/identity.ts";
import type { PassedOver } from "../book/passed-over.ts";
import type { SideRecord } from "../book/side-record.ts";
import type { SignedHead } from "../book/signed-head.ts";
import type { Receipts } from "../line/receipt.ts";
import type { ScorebookStore } from "./scorebook-store.ts";

/** What lets this device take part in one grading, and how far it has read. */
export interface Pass {
  grading: GradingId;
  device: DeviceId;
  /** Undefined while the chief has not admitted this device. */
  person?: PersonId;
  roles: Role[];
  /** Undefined with no hub: the grading came from a test pack. */
  token?: string;
  /** What its holder is called, for the list of gradings on this device. */
  name: string;
  title?: string;
  feed?: string;
  cursor: number;
  /** Origins of all hubs that serve this grading, where there is more than one. */
  hubs?: readonly string[];
  /** The link of the hub's chain at the cursor. */
  link?: string | undefined;
  /** Where the hub's chain stood, as the hub has signed it; oldest first. */
  heads?: readonly SignedHead[];
  /** Wall clock, milliseconds since 1970, when the hub's record last was not the one this device had read: an older copy, or rewritten. */
  partedAtMs?: number;
  /** Lines of the book that this version of the app cannot read, as they came; see tablet/notebook/unread-lines.ts. */
  unread?: readonly unknown[];
  /** Lines that the hub did not take, and of which this person has read enough: they stay on the disk. */
  aside?: readonly EntryId[];
  /** Lines of others that a hub put back from an older copy has not sent since: they are here, and stand nowhere. Written with the cursor. */
  lost?: readonly EntryId[];
  /** Lines of others that came out of files while the hub was away, until the hub has them. */
  fromFiles?: FromFiles | undefined;
  /** What this device did not take of the files that it took. */
  passedOver?: PassedOver;
  /** Further devices under this person's name of which they said here that they know them: the hub's lines about it. */
  knownLetIns?: readonly EntryId[];
  /** Wall clock, milliseconds since 1970, of the last word from a hub; the roster expires seven days later. */
  lastContactMs: number;
  /** When the names were removed for want of contact; absent while they are here. */
  rosterDroppedAtMs?: number;
}

/** What came out of files on a device that has a hub. The hub is to have it before what this device wrote by it. */
export interface FromFiles {
  ids: readonly EntryId[];
  /** Those of them that a hub sends this device as soon as it has them. */
  waits: readonly EntryId[];
  /** Of marks that are closed the locks: a hub says of those only that they are there. */
  locks: readonly (MarkedPlace & { judge: PersonId })[];
  /** What this device wrote after this logical time it wrote by them. */
  since: number;
  /** The hub has been met since: they stand nowhere until it says them. */
  isMet?: boolean;
}

/** What the hub did not take of this device, and why it said so. */
export interface Refusal {
  id: EntryId;
  fault: Fault;
  /** Not offered any more, but for its place in the count; see `Notebook.givesUp`. */
  isGivenUp?: boolean;
}

/** Where a device stands in its feed. */
type Heard = { feed: string; cursor: number; link?: string | undefined } & Pick<
  Pass,
  "unread" | "lost"
>;

/** A scorebook that also remembers what has not reached the hub yet, and this device's passes. */
export interface TabletStore extends ScorebookStore {
  /** Writes this device's own entries to the book and to the outbox, in one transaction. */
  keep(
    grading: GradingId,
    entries: readonly AnyEntry[],
    sides?: readonly SideRecord[],
  ): Promise<void>;
  /**
   * Writes entries heard from the hub, and the cursor after them, in one transaction; with it what could not be read, and what is lost, where that has changed.
   * What stood at their places of a count gives way, unless it waits to be sent.
   */
  hear(
    grading: GradingId,
    entries: readonly AnyEntry[],
    sides: readonly SideRecord[],
    place: Heard,
  ): Promise<void>;
  /** Own entries the hub has not acknowledged, as they were written, oldest first, with the side records they brought. */
  outbox(grading: GradingId): Promise<{
    entries: AnyEntry[];
    sides: SideRecord[];
    refusals: Refusal[];
    /** Those that a hub had acknowledged, and lost: see `owe`. */
    owed: EntryId[];
    /** What a hub gave for them. */
    receipts: Receipts;
  }>;
  /** Notes a refusal beside the entry in the outbox, in place of the one before; goes with it. Nothing where the entry does not wait. */
  refused(refusal: Refusal): Promise<void>;
  /** The hub has these on its disk; `receipts`, in the same order, is what it gave for them: kept for as long as the entries are. */
  sent(grading: GradingId, ids: readonly EntryId[], receipts?: readonly string[]): Promise<void>;
  /** Puts own entries that are here back into the outbox: the hub has lost them. */
  owe(grading: GradingId, entries: readonly AnyEntry[]): Promise<void>;
  pass(grading: GradingId): Promise<Pass | undefined>;
  passes(): Promise<Pass[]>;
  keepPass(pass: Pass): Promise<void>;
  /**
   * Removes side records of these kinds, but none that belongs to an entry the hub does not have; notes in the pass when,
   * and asks for the whole feed at the next contact. In one transaction. @returns what was removed.
   */
  dropSides(
    grading: GradingId,
    kinds: readonly SideRecord["kind"][],
    atMs: number,
  ): Promise<SideRecordId[]>;
  /** Removes everything of one grading from this device. */
  forget(grading: GradingId): Promise<void>;
}
