import { checkPanelTable, type PanelTable, type Unsupported } from "./panel-table.ts";

export interface SameMarks {
  /** Shares of all pairs of judges on one performance, 0–1: the same mark; at most `adjacent` apart (the same included). */
  exact: number;
  adjacent: number;
  pairs: number;
}

/**
 * How often two judges of the same performance gave the same mark, or nearly.
 *
 * @param table performances × judges with nulls. @param step how far apart is still adjacent, in the marks' unit.
 * @returns shares; or why there are none: no performance with two marks.
 * @throws RangeError for a mark that is not finite, or a step below 0.
 *
 * Does not know of chance: where nearly all marks are *Meets*, it is high whatever the judges do.
 * Source: common practice, no source.
 *
 * @example
 * sameMarks([[3, 3, 4], [2, 4, null]], 1); // => { exact: 0.25, adjacent: 0.75, pairs: 4 }
 */
export function sameMarks(table: PanelTable, step = 1): SameMarks | Unsupported {
  checkPanelTable("sameMarks", table);
  if (!(step >= 0)) throw new RangeError(`sameMarks: step ${step}`);
  let [exact, adjacent, pairs] = [0, 0, 0];
  for (const row of table)
    for (let i = 0; i < row.length; i++)
      for (let j = 0; j < i; j++) {
        const [a, b] = [row[i] ?? null, row[j] ?? null];
        if (a === null || b === null) continue;
        pairs++;
        if (a === b) exact++;
        // A billionth of room: 7.3 and 7.2 are .1 apart, whatever binary says.
        if (Math.abs(a - b) <= step * (1 + 1e-9)) adjacent++;
      }
  if (pairs === 0)
    return { reason: (table[0]?.length ?? 0) < 2 ? "one-judge" : "no-shared-performances" };
  return { exact: exact / pairs, adjacent: adjacent / pairs, pairs };
}
