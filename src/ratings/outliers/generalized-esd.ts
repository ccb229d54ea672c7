import { tExceededBy } from "../statistics/quantiles.ts";
import { summary } from "../statistics/summary.ts";
import type { NoOutlierTest } from "./grubbs.ts";

export interface EsdStep {
  /** How far the furthest value left lies from the mean of those left, in their standard deviations. */
  r: number;
  critical: number;
  /** Its place in the list that was given. */
  suspect: number;
}
export interface GeneralizedEsd {
  steps: EsdStep[];
  /** Places of the outliers, furthest first: all up to the last step that is beyond its critical value. */
  outliers: number[];
}

/**
 * How many outliers there are, up to a number said beforehand; they cannot hide behind each other.
 *
 * @param values any unit. @param most outliers to look for, a whole number from 1. @param alpha risk of a false alarm.
 * @returns one step for each suspect, fewer than `most` where two values or only equal ones are left; or why there is no test.
 * @throws RangeError when a value is not finite, or `most` is not a whole number of 1 or more.
 *
 * Good from about 25 values, bearable from 15; below, its risk of false alarm is higher than alpha.
 * Source: Rosner 1983, doi:10.1080/00401706.1983.10487848; NIST/SEMATECH e-Handbook 1.3.5.17.3.
 *
 * @example
 * const answer = generalizedEsd([1, 2, 1, 2, 3, 2, 1, 2, 3, 2, 1, 30, 31], 3);
 * "outliers" in answer && answer.outliers; // => [12, 11]
 */
export function generalizedEsd(
  values: readonly number[],
  most: number,
  alpha = 0.05,
): GeneralizedEsd | NoOutlierTest {
  if (!(Number.isInteger(most) && most >= 1)) throw new RangeError(`generalizedEsd: ${most}`);
  const n = values.length;
  if (n < 3) return { reason: "too-few-values" };
  const left = values.map((value, place) => ({ value, place }));
  const steps: EsdStep[] = [];
  for (let i = 1; i <= most && left.length > 2; i++) {
    const found = summary(left.map(({ value }) => value));
    if (!found?.sd || found.min === found.max) break;
    const far = (one: { value: number }) => Math.abs(one.value - found.mean);
    const next = left.reduce((best, one) => (far(one) > far(best) ? one : best));
    const t = tExceededBy(alpha / (2 * (n - i + 1)), n - i - 1);
    steps.push({
      r: far(next) / found.sd,
      critical: ((n - i) * t) / Math.sqrt((n - i - 1 + t * t) * (n - i + 1)),
      suspect: next.place,
    });
    left.splice(left.indexOf(next), 1);
  }
  if (steps.length === 0) return { reason: "all-equal" };
  const last = steps.findLastIndex(({ r, critical }) => r > critical);
  return { steps, outliers: steps.slice(0, last + 1).map(({ suspect }) => suspect) };
}
