import { normalAbove } from "../statistics/distributions.ts";
import { completeRows, type PanelTable, type Unsupported, whyNotComplete } from "./panel-table.ts";

export interface FleissKappa {
  kappa: number;
  /** Against no agreement beyond chance; p is two-sided. */
  z: number;
  p: number;
  /** Standard error if there were no agreement beyond chance: for the test, not for an interval. */
  seNull: number;
  categories: { category: number; share: number; kappa: number; z: number; p: number }[];
  n: number;
  k: number;
  leftOut: number;
}

/**
 * How far judges give the same verdict or level beyond chance, when being one level off is as wrong as three.
 *
 * @param table performances × judges of categories (verdicts or levels, as numbers); performances that a judge did not mark are left out and counted.
 * @returns kappa over all and for each category that was used; or why there is none: fewer than two judges or complete performances, one category only.
 * @throws RangeError for a mark that is not finite.
 *
 * Low when nearly everybody passes, although judges seldom differ. Any k judges may have marked each performance; here they are the same.
 * Source: Fleiss 1971, doi:10.1037/h0031619; standard errors: Fleiss, Nee & Landis 1979, doi:10.1037/0033-2909.86.5.974.
 *
 * @example
 * const answer = fleissKappa([[1, 1], [2, 2], [1, 2], [2, 2]]);
 * "kappa" in answer && answer.kappa.toFixed(4); // => "0.4667"
 */
export function fleissKappa(table: PanelTable): FleissKappa | Unsupported {
  const { rows, leftOut } = completeRows(table);
  const reason = whyNotComplete(table, rows);
  if (reason) return { reason };
  const categories = [...new Set(rows.flat())].sort((a, b) => a - b);
  if (categories.length < 2) return { reason: "all-equal" };
  const placeOf = new Map(categories.map((category, place) => [category, place]));
  const counts = rows.map((row) => {
    const count = new Array<number>(categories.length).fill(0);
    for (const mark of row) {
      const place = placeOf.get(mark) ?? 0;
      count[place] = (count[place] as number) + 1;
    }
    return count;
  });
  return { ...fromCounts(counts, categories), leftOut };
}

/** From how many judges put each performance in each category. */
function fromCounts(counts: readonly number[][], names: readonly number[]) {
  const n = counts.length;
  const k = counts[0]?.reduce((sum, count) => sum + count, 0) ?? 0;
  const total = n * k;
  const shares = names.map(
    (_, c) => counts.reduce((sum, row) => sum + (row[c] as number), 0) / total,
  );
  const pairs = k * (k - 1);
  const agreed = counts.flat().reduce((sum, count) => sum + count * (count - 1), 0) / (n * pairs);
  const chance = shares.reduce((sum, share) => sum + share * share, 0);
  const spread = shares.reduce((sum, share) => sum + share * (1 - share), 0);
  const skew = shares.reduce((sum, share) => sum + share * (1 - share) * (1 - 2 * share), 0);
  const seNull = Math.sqrt((2 / (n * pairs)) * (spread ** 2 - skew)) / spread;
  const kappa = (agreed - chance) / (1 - chance);
  const tested = (value: number, se: number) => ({
    z: value / se,
    p: 2 * normalAbove(Math.abs(value / se)),
  });
  return {
    kappa,
    ...tested(kappa, seNull),
    seNull,
    categories: names.map((category, c) => {
      const share = shares[c] as number;
      const mixed = counts.reduce(
        (sum, row) => sum + (row[c] as number) * (k - (row[c] as number)),
        0,
      );
      const value = 1 - mixed / (n * pairs * share * (1 - share));
      return { category, share, kappa: value, ...tested(value, Math.sqrt(2 / (n * pairs))) };
    }),
    n,
    k,
  };
}
