import type { ChiefsWord } from "../../belt-test/intake/chiefs-word.ts";
import type { Writer } from "../../belt-test/permit/writer.ts";
import type { Fault } from "../../book/faults.ts";
import type { DeviceId, EntryId, PersonId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";

/** Who hands entries in, as the token says; never as the entries say. */
export interface Author extends Writer {
  device: DeviceId;
  /** Further devices of the same person that are out: what was written there may come this way, as a file that was carried over. */
  alsoOn?: ReadonlySet<DeviceId>;
  /** Those that are in: each writes its count itself. */
  alsoIn?: ReadonlySet<DeviceId>;
  /** Of a test that no hub had: what the chief's device took, and what not. */
  chiefsWord?: ChiefsWord | undefined;
  /** Nothing is offered again: what follows a line that was refused need not wait for it. */
  isDone?: boolean;
  /** Whether they were sent out since: what still waits for its commit is not taken then. */
  isOut?(): boolean;
  /** Told of each new entry of theirs when it is on the disk, before anybody is sent it. */
  wrote?(stored: StoredEntry): void;
}
/** Of what the hub writes itself. */
export const nobody: Author = { person: "" as PersonId, roles: [], device: "" as DeviceId };

/** Entries as they came over the wire, and the names and texts that came along. */
export interface Job {
  author: Author;
  entries: readonly unknown[];
  sides: readonly SideRecord[];
  /** Locks after which their judge marked on there. */
  markedOn: ReadonlySet<string>;
}
/** What became of a batch: kept (now or before), or refused with the reason, entry by entry. */
export interface Handed {
  kept: EntryId[];
  refused: { id: EntryId | null; fault: Fault }[];
}
