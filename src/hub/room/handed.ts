import type { Fault } from "../../book/faults.ts";
import type { DeviceId, EntryId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";

/** Who hands entries in, as the token says; never as the entries say. */
export interface AnyAuthor {
  device: DeviceId;
  /** Further devices of the same person that are out: what was written there may come this way, as a file that was carried over. */
  alsoOn?: ReadonlySet<DeviceId>;
  /** Those that are in: each writes its count itself. */
  alsoIn?: ReadonlySet<DeviceId>;
  /** Nothing is offered again: what follows a line that was refused need not wait for it. */
  isDone?: boolean;
  /** Whether they were sent out since: what still waits for its commit is not taken then. */
  isOut?(): boolean;
  /** Told of each new entry of theirs when it is on the disk, before anybody is sent it. */
  wrote?(stored: StoredEntry): void;
}

/** Entries as they came over the wire, and the names and texts that came along. */
export interface Job<Author extends AnyAuthor> {
  /** Nobody's where it only looks what others wrote. */
  author: Author | undefined;
  entries: readonly unknown[];
  sides: readonly SideRecord[];
}
/** What became of a batch: kept (now or before), or refused with the reason, entry by entry. */
export interface Handed {
  kept: EntryId[];
  refused: { id: EntryId | null; fault: Fault }[];
}
