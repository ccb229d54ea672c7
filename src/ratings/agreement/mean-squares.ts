import { exactSum } from "../statistics/exact-sum.ts";

export interface MeanSquares {
  /** Performances (rows) and judges (columns). */
  n: number;
  k: number;
  rows: number;
  judges: number;
  error: number;
  /** Judges and error together: rows as if each had judges of its own. */
  within: number;
}

/**
 * Mean squares of a complete table of performances × judges, one mark a cell.
 *
 * @param table at least 2 × 2, all finite; any unit, the answer is in its square. Rounding dust is set to exactly 0, so that "no error" can be seen.
 * Source: Fisher 1925; McGraw & Wong 1996, table 2, doi:10.1037/1082-989X.1.1.30.
 *
 * @example
 * meanSquares([[1, 2], [3, 4]]); // => { n: 2, k: 2, rows: 4, judges: 1, error: 0, within: 0.5 }
 */
export function meanSquares(table: readonly (readonly number[])[]): MeanSquares {
  const [n, k] = [table.length, table[0]?.length ?? 0];
  const grand = exactSum(table.flat()) / (n * k);
  const rowMeans = table.map((row) => exactSum(row.map((mark) => mark - grand)) / k);
  const judgeMeans = Array.from(
    { length: k },
    (_, j) => exactSum(table.map((row) => (row[j] as number) - grand)) / n,
  );
  const largest = table.flat().reduce((most, mark) => Math.max(most, Math.abs(mark)), 0);
  const dust = n * k * (4e-15 * largest) ** 2;
  const clean = (ss: number) => (ss <= dust ? 0 : ss);
  const squares = (values: number[]) => exactSum(values.map((value) => value * value));
  const ssRows = clean(k * squares(rowMeans));
  const ssJudges = clean(n * squares(judgeMeans));
  const ssError = clean(
    squares(
      table.flatMap((row, i) =>
        row.map((mark, j) => mark - grand - (rowMeans[i] as number) - (judgeMeans[j] as number)),
      ),
    ),
  );
  return {
    n,
    k,
    rows: ssRows / (n - 1),
    judges: ssJudges / (k - 1),
    error: ssError / ((n - 1) * (k - 1)),
    within: (ssJudges + ssError) / (n * (k - 1)),
  };
}
