import type { AnyEntry } from "./entry.ts";
import type { EntryId, TextRef } from "./identity.ts";
import type { SideRecord } from "./side-record.ts";

/** What is known of the book around an entry: who has a seat, and what stands under an id. */
export interface AroundEntry {
  isSeated(person: string): boolean;
  entry(id: EntryId): AnyEntry | undefined;
}

/** Whom and what a side record is filed under, and what it says: SHA-256, hex, of salt and canonical body as it is now. */
export type FiledSide = Pick<SideRecord, "grading" | "about" | "kind"> & { digest: string };

/**
 * Why a side record is not the one that an entry refers to.
 * `digest`: it does not say what it said when it was written. `kind`: a name in the place of a text, or the other way round.
 * `about`: it is filed under somebody whom the entry does not speak of, so that erasing that somebody would take another's words,
 * and erasing whom it speaks of would leave them.
 */
export type SideFault = "digest" | "kind" | "about";

/** What a book's entries say of the names and texts beside it. */
export interface SideRules {
  isKnown(entry: AnyEntry): boolean;
  /** @returns null where the record is what the entry refers to. */
  faultOf(entry: AnyEntry, ref: TextRef, record: FiledSide, around: AroundEntry): SideFault | null;
  /** Everybody of whom an entry speaks. */
  spokenOfIn(entry: AnyEntry): string[];
  /** Whether an entry was asked what it refers to when it was taken. */
  isAsked(entry: AnyEntry): boolean;
  /** Whether what it refers to is certainly words. */
  hasWords(entry: AnyEntry): boolean;
  /** Of a kind that never refers to anything. */
  isWordless(entry: AnyEntry): boolean;
  /** Whom an entry gives a seat. */
  seatedIn(entry: AnyEntry): string | undefined;
  /** What records call, or called, whom they are about; none where they name nobody. */
  namesIn(records: readonly SideRecord[]): string[];
  /** Whom an entry has erased. */
  erasedIn(entry: AnyEntry): string | undefined;
}

/** Everybody an entry names, its writer too: of whom is erased, nobody is told that words are missing. */
export const namedBy = (rules: Pick<SideRules, "spokenOfIn">, entry: AnyEntry): string[] => [
  entry.by,
  ...rules.spokenOfIn(entry),
];
