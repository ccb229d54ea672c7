import type { AnyEntry } from "../../book/entry.ts";
import type { PersonId } from "../../book/identity.ts";
import { type EntryKind, rowOf } from "../kinds/all-kinds.ts";
import type { Role } from "../kinds/body-parts.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/** Who writes, as the hub knows it from the token, not from the entry. */
export interface Writer {
  person: PersonId;
  roles: readonly Role[];
  /** The hub itself: no device on the line, and nobody's file. */
  isHubs?: boolean;
  /** What they hand in is a file of a test that no hub had: the chief's device said itself what it held. */
  isFromRoad?: boolean;
  /** This hub had kept the line before it was put back from an older copy, or it is of a test that no hub had: where a hub or a decision speaks of it, it may come after that. */
  mayComeAgain?: boolean | undefined;
  /** How far a count was heard, refused lines included: who refused one does not ask for it again. */
  heardIn?(count: string): number;
}

/** Whether a hub that lost it had held this line. Where nothing was ever lost its word covers what it heard and refused, and nobody is to fill that. */
export const isAwaited = (book: Scorebook, writer: Writer, entry: AnyEntry): boolean =>
  writer.mayComeAgain === true && book.isAwaited(entry);

/** The same, or that a chief who decided had it: the chief's tablet is heard first. */
export const wasHad = (book: Scorebook, writer: Writer, entry: AnyEntry): boolean =>
  isAwaited(book, writer, entry) || (writer.mayComeAgain === true && book.isAwaitedByChief(entry));

/** A line that is not late, but comes again, or after somebody else who had it. */
export const comesAgain = (book: Scorebook, writer: Writer, entry: AnyEntry): boolean =>
  wasHad(book, writer, entry) || book.isSpokenOf(entry);

/** Whether somebody in these roles may write a kind at all. */
export function mayWrite(kind: EntryKind, roles: readonly Role[]): boolean {
  const { writers } = rowOf(kind);
  return writers === "anyone" || writers.some((role) => roles.includes(role));
}
export const isChief = ({ roles }: Writer): boolean => roles.includes("chief");
