import type { AnyEntry, ReadEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { CountId } from "../../book/identity.ts";
import type { SideRules } from "../../book/side-rules.ts";
import type { AnyAuthor } from "./handed.ts";

/** What is so of a book's lines, whatever stands in it. */
export interface LineRules {
  readonly sides: SideRules;
  readEntry(json: unknown): ReadEntry;
  /** May have come whatever was missing before it: its place in the count tells nothing of how far a device has come. */
  isOutOfTurn(entry: AnyEntry): boolean;
  /** Taken of everybody, whatever is missing before it and however far ahead it is. */
  isForAnyone(entry: AnyEntry): boolean;
  /** Of some kinds that are for anyone: so many are taken of one device. */
  readonly most: Readonly<Record<string, number>>;
}

/**
 * What one book asks of a line, beside what every book does (`Admission`), and what it does where its room reads and writes. What a book has no need of is
 * left out.
 */
export interface Intake<Book, Author extends AnyAuthor> {
  readonly lines: LineRules;
  /** By which book, ahead of the disk, lines are asked about from now on; and how far a count was heard, refused lines included. */
  decidesBy(book: Book, lastHeard: (count: CountId) => number): void;
  /** Why a line is not taken; null where nothing speaks against it. @param isOurs  it bears this hub's receipt */
  refusalOf(entry: AnyEntry, author: Author, isOurs: boolean): Fault | null;
  /** Whether somebody has a seat, so that names may be filed under them. */
  isSeated(person: string): boolean;
  /** Whether what an entry refers to must vouch for itself: under another id another record may be kept already, or be brought first. */
  mustVouch(entry: AnyEntry): boolean;

  /** Theirs to hand in, although no device of theirs wrote it. */
  isGivenBack?(author: Author, entry: AnyEntry): boolean;
  /** Not now, whatever it says: it is offered again by itself. */
  mustWait?(author: Author): boolean;
  /** It is not taken. @returns what its writer is told */
  refused?(entry: AnyEntry, fault: Fault): Fault;
  /** Nothing speaks against it; what it refers to may still. */
  passed?(entry: AnyEntry): void;
  /** It may be kept. */
  taken?(entry: AnyEntry, isOurs: boolean): void;
  /** Asked before an entry is in the book. @returns asked when it is: what the hub itself writes beside it */
  beside?(entry: AnyEntry, author: Author): () => AnyEntry[];

  /** What the disk has was read. */
  opened?(): Promise<void>;
  /** @param readOn  takes up what others wrote to the store */
  beforeCommit?(readOn: () => Promise<unknown>): Promise<void>;
  beforeWriting?(entries: readonly AnyEntry[]): Promise<void>;
}
