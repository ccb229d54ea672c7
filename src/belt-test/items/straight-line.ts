/**
 * How two lists of numbers go together: the product-moment correlation, and the straight line of the second on the first.
 *
 * @param pairs in any order. @returns null for fewer than three pairs, or where one of the two does not differ.
 * @throws RangeError for a number that is not finite.
 * Source: Pearson 1895, doi:10.1098/rspl.1895.0041; least squares in one variable (elementary).
 *
 * @example
 * straightLine([[1, 2], [2, 4], [3, 5]])?.slope; // => 1.5
 */
export function straightLine(pairs: readonly (readonly [number, number])[]): {
  correlation: number;
  slope: number;
  at: (x: number) => number;
  errorAt: (x: number) => number;
} | null {
  if (pairs.some(([x, y]) => !Number.isFinite(x) || !Number.isFinite(y)))
    throw new RangeError("straightLine: a number is not finite");
  const n = pairs.length;
  if (n < 3) return null;
  const mean = (of: 0 | 1) => pairs.reduce((sum, pair) => sum + pair[of], 0) / n;
  const [mx, my] = [mean(0), mean(1)];
  let [xx, yy, xy] = [0, 0, 0];
  for (const [x, y] of pairs) {
    xx += (x - mx) ** 2;
    yy += (y - my) ** 2;
    xy += (x - mx) * (y - my);
  }
  // What differs by less than a billionth differs by rounding.
  if (xx < 1e-9 || yy < 1e-9) return null;
  const slope = xy / xx;
  const residual = Math.sqrt(Math.max(0, yy - slope * xy) / (n - 2));
  return {
    correlation: Math.max(-1, Math.min(1, xy / Math.sqrt(xx * yy))),
    slope,
    at: (x) => my + slope * (x - mx),
    errorAt: (x) => residual * Math.sqrt(1 / n + (x - mx) ** 2 / xx),
  };
}
