import type { AnyEntry } from "../../book/entry.ts";
import { FaultError } from "../../book/faults.ts";
import type { GradingId } from "../../book/identity.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { FIRST_LINK } from "./chain.ts";
import { type ChainRow, checkedRow } from "./verify-chain.ts";

/**
 * The lines of a book as they lie in a store, as far as each follows from the one before and says what it said when it was written.
 * @param before  the link of the line that they follow; undefined for the beginning.
 * @returns those before the first that does not. The next reading begins with that one.
 * @throws FaultError TEST_DAMAGED where the first does not.
 */
export function soundLines(
  grading: GradingId,
  since: number,
  before: string | undefined,
  rows: readonly ChainRow[],
): StoredEntry[] {
  const lines: StoredEntry[] = [];
  let link = before ?? (since === 0 ? FIRST_LINK : "");
  for (const row of rows) {
    const place = since + lines.length + 1;
    const checked = checkedRow(row, place, link);
    if (!("why" in checked)) {
      lines.push({ entry: checked.entry as AnyEntry, seq: place, chain: row.chain });
      link = row.chain;
    } else if (lines.length > 0) return lines;
    else throw testDamaged(grading, place);
  }
  return lines;
}

export const testDamaged = (grading: GradingId, seq: number): FaultError =>
  new FaultError({ code: "TEST_DAMAGED", with: { grading, seq } });
