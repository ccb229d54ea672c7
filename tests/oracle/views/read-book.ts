import type { AnyEntry } from "../../../src/book/entry.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import type { OracleBook } from "../oracle-book.ts";

/** A book as it was taken: its lines in the hub's order, and the names and texts beside them. */
export interface ReadBook {
  entries: readonly AnyEntry[];
  sides: ReadonlyMap<string, SideRecord>;
}

/** Whether the file can be read is asked by the report. */
export function readBook({ file: { entries, sides, chain } }: Pick<OracleBook, "file">): ReadBook {
  const read = entries as AnyEntry[];
  const byId = new Map(read.map((entry) => [entry.id, entry]));
  return {
    // A file of before there were chains has its devices one after the other.
    entries: chain ? chain.flatMap(({ id }) => byId.get(id) ?? []) : read,
    sides: new Map(sides.map((side) => [side.id, side])),
  };
}
