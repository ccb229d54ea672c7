import type { PersonId } from "../../book/identity.ts";
import type { Role } from "../kinds/body-parts.ts";
import type { AnyEntry } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/** Who writes, as the hub knows it from the token, not from the entry. */
export interface Writer {
  person: PersonId;
  roles: readonly Role[];
  /** The hub itself: no device on the line, and nobody's file. */
  isHubs?: boolean;
  /** What they hand in is a file of a test that no hub had: the chief's device said itself what it held. */
  isFromRoad?: boolean;
  /** Into a book that was put back from an older copy, or of a test that no hub had: what a hub or a decision speaks of, and is not here, may come after it. */
  mayComeAgain?: boolean | undefined;
  /** How far a count was heard, refused lines included: who refused one does not ask for it again. */
  heardIn?(count: string): number;
}

/** Whether a hub that lost it had held this line. Where nothing was ever lost its word covers what it heard and refused, and nobody is to fill that. */
export const isAwaited = (book: Scorebook, writer: Writer, entry: AnyEntry): boolean =>
  writer.mayComeAgain === true && book.isAwaited(entry);

/** A line that is not late, but comes again, or after somebody else who had it. */
export const comesAgain = (book: Scorebook, writer: Writer, entry: AnyEntry): boolean =>
  isAwaited(book, writer, entry) ||
  book.isSpokenOf(entry) ||
  (writer.mayComeAgain === true && book.isAwaitedByChief(entry));

export const isChief = ({ roles }: Writer): boolean => roles.includes("chief");
