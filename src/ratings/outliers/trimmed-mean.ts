import { keptByPosition } from "../kept-by-position.ts";
import { exactSum } from "../statistics/exact-sum.ts";

/**
 * The mean of what is left when so many of the lowest and as many of the highest are dropped, by position after sorting.
 *
 * @param values any unit. @param drop how many go at each end, a whole number.
 * @returns `null` when nothing would be left.
 * @throws RangeError when a value is not finite, or `drop` is not a whole number of 0 or more.
 *
 * Two judges who are wrong the same way outlive a trim of one.
 * Source: Tukey & McLaughlin 1963, Sankhya A 25, 331–352 (symmetric trimming); ties by position, as judged sports do.
 *
 * @example
 * trimmedMean([1, 5, 6, 7, 30], 1); // => 6
 */
export function trimmedMean(values: readonly number[], drop: number): number | null {
  if (!Number.isInteger(drop) || drop < 0) throw new RangeError(`trimmedMean: cannot drop ${drop}`);
  const kept = keptByPosition(values, drop).map((place) => values[place] as number);
  return kept.length === 0 ? null : exactSum(kept) / kept.length;
}
