/**
 * The sum of many numbers without the rounding of each addition.
 *
 * @param values any finite numbers, in any order; none: 0.
 * @returns the sum as if added with about twice the digits. The order of the values may still move the very last binary digit.
 * @throws RangeError when one is not finite.
 * Source: Neumaier 1974, doi:10.1002/zamm.19740540106 (Kahan's sum, improved).
 *
 * @example
 * exactSum([1, 1e100, 1, -1e100]); // => 2
 */
export function exactSum(values: Iterable<number>): number {
  let sum = 0;
  let lost = 0;
  for (const value of values) {
    if (!Number.isFinite(value)) throw new RangeError(`exactSum: ${value} is not a finite number`);
    const next = sum + value;
    lost += Math.abs(sum) >= Math.abs(value) ? sum - next + value : value - next + sum;
    sum = next;
  }
  return sum + lost;
}
