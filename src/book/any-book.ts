import type { AnyEntry } from "./entry.ts";
import type { EntryId } from "./identity.ts";

/** What every folded book can say of itself, whatever its kinds: the belt test's scorebook, and whatever book comes beside it. */
export interface AnyBook {
  /** @returns false when this entry was here already. Entries may come in any order, any number of times. */
  add(entry: AnyEntry): boolean;
  entry(id: EntryId): AnyEntry | undefined;
  entries(): IterableIterator<AnyEntry>;
  readonly size: number;
  /** The highest logical time in it. */
  readonly lamport: number;
  /** Of whom names and texts are to be forgotten. */
  readonly erased: ReadonlySet<string>;
}
