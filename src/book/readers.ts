import type { AnyBook } from "./any-book.ts";
import type { AnyEntry } from "./entry.ts";
import type { PersonId } from "./identity.ts";
import type { StoredEntry } from "./stored-entry.ts";

/** Whom a book is sent to, and what they are in it. */
export interface ViewerAs<Role extends string> {
  person: PersonId;
  roles: readonly Role[];
}

/**
 * Whether a viewer is sent an entry.
 * `now`: at once. `never`: not to this viewer. `waits`: when it is open to everybody who may read it, and not a moment earlier.
 * `ownFirst`: when this viewer has done first what it speaks of.
 */
export type Sight<Waits, Own> = "now" | "never" | { waits: Waits } | { ownFirst: Own };

/** How things stand at one line of a book: of many that wait, each is asked about. */
export interface Openness<Waits> {
  isOpen(waits: Waits): boolean;
}

/** Lines kept from one viewer until that viewer has done their own part. The same lines in the same order open the same. */
export interface OwnPartFirst<Awaited> {
  /** Keeps a line back. */
  close(stored: StoredEntry, awaited: Awaited): void;
  /** Takes note of the next line, kept back or not. @returns those that are open from it on, oldest first */
  open(stored: StoredEntry): StoredEntry[];
}

/**
 * What readers of a book are sent: all that ledger and feeds are to be told of it.
 * `Waits`: what a line waits for that is open to nobody yet. `Own`: what it waits for of one viewer's own.
 */
export interface Readers<
  Book extends AnyBook,
  Role extends string,
  Waits = unknown,
  Own = unknown,
> {
  /** A book with nothing in it. */
  emptyBook(): Book;
  sight(viewer: ViewerAs<Role>, entry: AnyEntry): Sight<Waits, Own>;
  /** What an entry waits for before anybody but its writer is sent it; undefined for what nobody waits for. */
  waitsOf(entry: AnyEntry): Waits | undefined;
  /** The kinds that can open lines that wait. */
  readonly mayOpen: ReadonlySet<string>;
  openness(book: Book): Openness<Waits>;
  /** As whom somebody is sent what comes after this entry; undefined where it says nothing of them. */
  seatedBy(viewer: ViewerAs<Role>, entry: AnyEntry): ViewerAs<Role> | undefined;
  /** Who is sent what is open only after a part of their own; undefined for whoever is sent it at once. */
  afterOwn(viewer: ViewerAs<Role>): OwnPartFirst<Waits> | undefined;
  ownFirst(viewer: ViewerAs<Role>): OwnPartFirst<Own>;
}
