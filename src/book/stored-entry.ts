import type { AnyEntry } from "./entry.ts";

/** One line of the book as it stands in a store: the entry, its place (1, 2, 3 … per grading) and its link of the chain. */
export interface StoredEntry {
  entry: AnyEntry;
  seq: number;
  /** Hex SHA-256 over the previous link and the entry's salted digest; empty on a tablet, which keeps no chain. */
  chain: string;
}
