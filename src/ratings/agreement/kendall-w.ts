import { chiSquareAbove } from "../statistics/distributions.ts";
import { completeRows, type PanelTable, type Unsupported, whyNotComplete } from "./panel-table.ts";
import { ranks } from "./ranks.ts";

export interface KendallW {
  /** 0–1: 1 when all judges put the performances in the same order. */
  w: number;
  chi2: number;
  df: number;
  p: number;
  /** Performances used, judges, and performances left out because a judge did not mark them. */
  n: number;
  k: number;
  leftOut: number;
}

/**
 * Whether the judges put the performances in the same order, however severe each is. Corrected for ties.
 *
 * @param table performances × judges; performances that a judge did not mark are left out and counted.
 * @returns W with its chi-square; or why there is none: fewer than two judges or complete performances, or every judge gave one mark only.
 * @throws RangeError for a mark that is not finite.
 *
 * p is from chi-square and too large for about seven performances or fewer. A judge who gave everyone the same mark pulls W down.
 * Source: Kendall & Babington Smith 1939, doi:10.1214/aoms/1177732186; tie correction: Siegel & Castellan 1988, section 9.6.
 *
 * @example
 * kendallW([[1, 2], [2, 3], [3, 5]]); // => { w: 1, chi2: 4, df: 2, p: 0.1353352832366127, n: 3, k: 2, leftOut: 0 }
 */
export function kendallW(table: PanelTable): KendallW | Unsupported {
  const { rows, leftOut } = completeRows(table);
  const reason = whyNotComplete(table, rows);
  if (reason) return { reason };
  const [n, k] = [rows.length, rows[0]?.length ?? 0];
  const sums = new Array<number>(n).fill(0);
  let ties = 0;
  for (let j = 0; j < k; j++) {
    const ranked = ranks(rows.map((row) => row[j] as number));
    ties += ranked.ties;
    ranked.ranks.forEach((rank, i) => {
      sums[i] = (sums[i] as number) + rank;
    });
  }
  const mean = (k * (n + 1)) / 2;
  const apart = sums.reduce((total, sum) => total + (sum - mean) ** 2, 0);
  const most = k * k * (n ** 3 - n) - k * ties;
  if (most <= 0) return { reason: "all-equal" };
  const w = (12 * apart) / most;
  const [chi2, df] = [k * (n - 1) * w, n - 1];
  return { w, chi2, df, p: chiSquareAbove(chi2, df), n, k, leftOut };
}
