import type { AnyEntry } from "../../../src/core/scorebook/entry.ts";
import { readScorebookFile } from "../../../src/core/scorebook/read-scorebook-file.ts";
import type { SideRecord } from "../../../src/core/scorebook/side-record.ts";
import type { OracleBook } from "../oracle-book.ts";

/** A book as it was taken: its lines in the hub's order, and the names and texts beside them. */
export interface ReadBook {
  entries: readonly AnyEntry[];
  sides: ReadonlyMap<string, SideRecord>;
}

/** @throws RangeError for a file that cannot be read whole */
export function readBook({ number, file }: Pick<OracleBook, "number" | "file">): ReadBook {
  const read = readScorebookFile(file);
  if (!read.ok) throw new RangeError(`book ${number}: ${read.problem} at ${read.path.join(".")}`);
  const { entries, sides, chain } = read.file;
  const byId = new Map(entries.map((entry) => [entry.id, entry]));
  return {
    // A file of before there were chains has its devices one after the other.
    entries: chain.length > 0 ? chain.flatMap(({ id }) => byId.get(id) ?? []) : entries,
    sides: new Map(sides.map((side) => [side.id, side])),
  };
}
