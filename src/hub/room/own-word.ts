import type { AnyEntry } from "../../book/entry.ts";

/** By which a hub knows again what it said, also when it was put back from an older copy. */
export interface OwnWord {
  /** What a device is given for a line that is on the hub's disk. */
  receiptFor(entry: AnyEntry): string;
  /** How far it has let somebody read in a feed. */
  bookmarkOf(place: { feed: string; cursor: number; link: string }): string;
}
