import type { AnyBook } from "../../book/any-book.ts";
import type { AnyEntry, ReadEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { DeviceId, EntryId, PersonId } from "../../book/identity.ts";
import type { AnyBodies, PenOf, PenSettings } from "../../book/pen.ts";
import type { Holds } from "../../line/holds.ts";

/** What a notebook asks of the kind of book it holds: a belt test's scorebook, or whatever book comes beside it. */
export interface BookRules<Book extends AnyBook, Bodies extends AnyBodies<Bodies>, News> {
  /** With nothing in it. */
  newBook(): Book;
  readEntry(json: unknown): ReadEntry;
  newPen(settings: PenSettings, book: () => Book): PenOf<Bodies>;
  /** What is said beside entries, before anything was. */
  noNews: News;
  /** In the order in which a hub takes them. */
  inTurn(entries: readonly AnyEntry[]): AnyEntry[];
  /** What a device hands in to a hub that lacks some of its lines: those, in turn, and what else only this device can give back. */
  owedAgain(entries: Iterable<AnyEntry>, device: DeviceId, holds: Holds): AnyEntry[];
  /** Whether this person goes on seeing a line of another device that a hub put back from an older copy has not said. */
  staysUnsaid(entry: AnyEntry, person: PersonId | undefined): boolean;
  /** Whether a line stands here although a hub did not take it: what it waits for may come yet. */
  mayComeYet(book: Book, entry: AnyEntry, fault: Fault): boolean;
  /** Whether a line that was not taken matters no longer; undefined: as it was thought to be. */
  isOvertaken(
    entry: AnyEntry,
    book: Book,
    outbox: { refusals: ReadonlyMap<EntryId, Fault>; isSent(id: EntryId): boolean },
  ): boolean | undefined;
  /** Lines that a hub put back from an older copy is not handed unless one had them before: what they were said of is no more. */
  notSaidAgain(book: Book): AnyEntry[];
}
