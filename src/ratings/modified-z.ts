import { median } from "./median.ts";

/**
 * How many robust standard deviations each value lies from the middle, signed.
 *
 * 0.6745 times the distance from the median, over the median of those distances. Where more than half the values are equal that median
 * is 0, and 1.253314 times their mean distance takes its place. All equal: 0 for everybody.
 *
 * @param values any unit, order kept. Fewer than three values say nothing about who stands alone: 0 for all.
 * @throws RangeError if one is not finite.
 *
 * With three values one that lies close to the middle makes the other look wild, however near it is: ask for a gap in levels too.
 * Source: Iglewicz & Hoaglin 1993, How to Detect and Handle Outliers, section 3.3 (3.5 is their limit); the stand-in for a median distance of 0
 * is common practice (it estimates the same standard deviation for normal values).
 *
 * @example
 * modifiedZ([3, 3, 3, 3]); // => [0, 0, 0, 0]
 * modifiedZ([1, 2, 3, 4, 10])[4]; // => 4.7215
 */
export function modifiedZ(values: readonly number[]): number[] {
  if (values.length < 3) return values.map(() => 0);
  const middle = median(values);
  const distances = values.map((value) => Math.abs(value - middle));
  const mad = median(distances);
  if (mad > 0) return values.map((value) => (0.6745 * (value - middle)) / mad);
  const meanDistance = distances.reduce((sum, distance) => sum + distance, 0) / values.length;
  return values.map((value) =>
    meanDistance === 0 ? 0 : (value - middle) / (1.253314 * meanDistance),
  );
}
