import { exactSum } from "./exact-sum.ts";

export interface Summary {
  n: number;
  mean: number;
  /** With n - 1; null of a single value. */
  sd: number | null;
  min: number;
  max: number;
  /** How much each value resembles the one before it, -1 to 1; null when all are equal or there is only one. */
  lagOne: number | null;
}

/**
 * Mean, standard deviation and first autocorrelation of values in the order they came.
 *
 * @param values any unit. Two passes with compensated sums: exact to about 14 digits where the digits of the data allow it.
 * @returns `null` of no values.
 * @throws RangeError when one is not finite.
 *
 * Decimal fractions far from zero (10000000.2) are not exact in binary, so their spread loses digits before it is computed.
 * Source: NIST Statistical Reference Datasets, univariate summary statistics, for the definitions; Chan, Golub & LeVeque 1983, doi:10.1080/00031305.1983.10483115.
 *
 * @example
 * summary([1, 2, 3]); // => { n: 3, mean: 2, sd: 1, min: 1, max: 3, lagOne: 0 }
 */
export function summary(values: readonly number[]): Summary | null {
  const n = values.length;
  if (n === 0) return null;
  const rough = exactSum(values) / n;
  const mean = rough + exactSum(values.map((value) => value - rough)) / n;
  const apart = values.map((value) => value - rough);
  const shift = exactSum(apart);
  const squares = exactSum(apart.map((value) => value * value)) - (shift * shift) / n;
  const products = exactSum(
    values.slice(1).map((value, i) => (value - mean) * ((values[i] as number) - mean)),
  );
  const spread = values.reduce((most, value) => Math.max(most, Math.abs(value - mean)), 0);
  return {
    n,
    mean,
    sd: n < 2 ? null : Math.sqrt(Math.max(0, squares) / (n - 1)),
    min: values.reduce((least, value) => Math.min(least, value), Infinity),
    max: values.reduce((most, value) => Math.max(most, value), -Infinity),
    lagOne: n < 2 || spread === 0 || squares <= 0 ? null : products / squares,
  };
}
