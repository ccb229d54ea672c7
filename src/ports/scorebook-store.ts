import type { AnyEntry } from "../book/entry.ts";
import type { Fault } from "../book/faults.ts";
import type { EntryId, GradingId, SideRecordId } from "../book/identity.ts";
import type { SideRecord } from "../book/side-record.ts";
import type { StoredEntry } from "../book/stored-entry.ts";

interface Refused {
  id: EntryId;
  fault: Fault;
}
export interface Appended {
  /** New in this store, in the order they were given a place. */
  added: StoredEntry[];
  /** Here already with the same body. */
  known: EntryId[];
  /** Not taken; nothing of theirs was written. */
  refused: Refused[];
}

/** What a writer had read when it decided what may be kept, where others write to the same store. */
export interface ReadUpTo {
  /** The place of the last line it had read. */
  place: number;
  /** Its link of the chain: nothing is written after a line that is another on the disk. */
  link?: string | undefined;
  /**
   * Others wrote since: is handed their lines, with every side record of the grading, and decides anew. Called at most once, before anything
   * is written and while nobody else can write; those lines are on the disk for good, whatever becomes of this writing.
   */
  decideAgain(
    lines: readonly StoredEntry[],
    sides: readonly SideRecord[],
  ): { entries: readonly AnyEntry[]; sides: readonly SideRecord[] };
}

/**
 * The append-only record of gradings. Every adapter passes tests/contracts/scorebook-store.contract.ts.
 * When `append` resolves, what it lists as added is on the disk and survives a power cut.
 */
export interface ScorebookStore {
  /**
   * Adds what is new, in one transaction, with the side records it refers to.
   * The same entry again is no news; another body under a used id, or another entry under a device's used `n`, is refused by name.
   * With `read`, a writer whose rules depend on the book never decides by an old one.
   */
  append(
    grading: GradingId,
    entries: readonly AnyEntry[],
    sides?: readonly SideRecord[],
    read?: ReadUpTo,
  ): Promise<Appended>;
  /**
   * Entries after place `since`, oldest first; 0 reads from the beginning. Only lines that follow from those before them: it ends at the first that does not.
   * @throws FaultError TEST_DAMAGED where that is the first one asked for
   */
  read(grading: GradingId, since: number, limit?: number): Promise<StoredEntry[]>;
  sides(grading: GradingId): Promise<SideRecord[]>;
  /**
   * Removes every side record about this candidate or person, so that its bytes are gone from the disk too; entries stay.
   * @param misfiled  further records of theirs that are filed under somebody else.
   * @returns how many there were; 0 is no fault.
   */
  erase(grading: GradingId, about: string, misfiled?: readonly SideRecordId[]): Promise<number>;
  /** Why bytes of what was erased have to stay until somebody does something about it; undefined where they are gone, or go by themselves. */
  unswept?(): Promise<Fault | undefined>;
  gradings(): Promise<{ grading: GradingId; entries: number }[]>;
  /** The entries of all books that a list of tests is made of, where a store finds them without reading every book: see title-page.ts. */
  titleLines?(): Promise<AnyEntry[]>;
  /** The entries of all books that say whom the chief had erased, found likewise. */
  erasedLines?(): Promise<AnyEntry[]>;
  close(): Promise<void>;
}
