import { median } from "./median.ts";

/**
 * Mean and standard deviation that a few wild marks cannot carry away: Algorithm A of ISO 13528.
 *
 * Starts at the median, with 1.483 times the median distance from it for a spread; then pulls every value further than 1.5 spreads
 * to that edge, takes the mean and 1.134 times the standard deviation of what results, and goes on until nothing moves.
 * Where more than half the values are equal the first spread would be 0; the plain standard deviation starts it then (note 2 of C.3.1).
 *
 * @param given any unit; the answer is in the same. One value is its own mean, with spread 0.
 * @throws RangeError when there is no value, or one is not finite.
 *
 * Fails when about a third of the values are wrong together; and for a handful of whole levels it is seldom anything but the mean,
 * since one level apart is no more than a spread.
 * Source: ISO 13528:2022, annex C.3.1 (unchanged since ISO 5725-5:1998); Analytical Methods Committee, Analyst 1989, 114, 1693, doi:10.1039/AN9891401693.
 *
 * @example
 * algorithmA([3, 3, 3, 3]); // => { mean: 3, spread: 0 }
 * algorithmA([2, 3, 4]).mean; // => 3
 */
export function algorithmA(given: readonly number[]): { mean: number; spread: number } {
  // Sorted, so that the last binary digit does not depend on who marked first.
  const values = [...given].sort((a, b) => a - b);
  let mean = median(values);
  let spread = 1.483 * median(values.map((value) => Math.abs(value - mean)));
  if (spread === 0) spread = standardDeviation(values, meanOf(values));
  for (let round = 0; round < 1000 && spread > 0; round++) {
    const [low, high] = [mean - 1.5 * spread, mean + 1.5 * spread];
    const pulled = values.map((value) => Math.min(Math.max(value, low), high));
    const [meanBefore, spreadBefore] = [mean, spread];
    mean = meanOf(pulled);
    spread = 1.134 * standardDeviation(pulled, mean);
    const moved = Math.abs(mean - meanBefore) + Math.abs(spread - spreadBefore);
    if (moved <= 1e-13 * (Math.abs(mean) + spread)) break;
  }
  return { mean, spread };
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

const standardDeviation = (values: readonly number[], mean: number): number =>
  values.length < 2
    ? 0
    : Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
