import { tAbove } from "../statistics/distributions.ts";
import { tExceededBy } from "../statistics/quantiles.ts";
import { summary } from "../statistics/summary.ts";

export type GrubbsSide = "two-sided" | "highest" | "lowest";
export interface Grubbs {
  /** How many standard deviations the suspect lies from the mean. */
  g: number;
  critical: number;
  p: number;
  isOutlier: boolean;
  /** Its place in the list; the first of several equal ones. */
  suspect: number;
}
export interface NoOutlierTest {
  reason: "too-few-values" | "all-equal";
}

/**
 * The largest G that chance leaves alone.
 * @param n values, at least 3. @param alpha risk of a false alarm, 0–1. @param side one tail or both.
 * @throws RangeError outside those.
 * Source: Grubbs & Beck 1972, doi:10.1080/00401706.1972.10488981 (the formula with Student's t).
 * @example
 * grubbsCritical(8, 0.05, "highest").toFixed(3); // => "2.032"
 */
export function grubbsCritical(n: number, alpha: number, side: GrubbsSide): number {
  if (!(Number.isInteger(n) && n >= 3)) throw new RangeError(`grubbsCritical: ${n} values`);
  const t = tExceededBy(alpha / (side === "two-sided" ? 2 * n : n), n - 2);
  return ((n - 1) / Math.sqrt(n)) * Math.sqrt((t * t) / (n - 2 + t * t));
}

/**
 * Whether the value furthest from the mean is too far away to belong to the others.
 *
 * @param values any unit. @param alpha risk of a false alarm. @param side the furthest either way, or only the highest or lowest.
 * @returns the test; or why there is none: fewer than 3 values, all equal. p is n (or 2n) times the tail of t, at most 1.
 * @throws RangeError when a value is not finite.
 *
 * Two outliers on one side hide each other (ask `generalizedEsd`), and marks on few levels are not the normal values it supposes.
 * Source: Grubbs 1969, doi:10.1080/00401706.1969.10490657; NIST/SEMATECH e-Handbook 1.3.5.17.1.
 *
 * @example
 * const answer = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57], 0.05, "highest");
 * "g" in answer && [answer.g.toFixed(4), answer.isOutlier, answer.suspect]; // => ["2.4688", true, 7]
 * grubbs([3, 3, 3]); // => { reason: "all-equal" }
 */
export function grubbs(
  values: readonly number[],
  alpha = 0.05,
  side: GrubbsSide = "two-sided",
): Grubbs | NoOutlierTest {
  const found = summary(values);
  if (!found || found.n < 3) return { reason: "too-few-values" };
  const { n, mean, sd } = found;
  if (sd === null || sd <= 0 || found.min === found.max) return { reason: "all-equal" };
  const far = (value: number) =>
    side === "highest" ? value - mean : side === "lowest" ? mean - value : Math.abs(value - mean);
  const suspect = values.reduce(
    (best, value, place) => (far(value) > far(values[best] as number) ? place : best),
    0,
  );
  const g = far(values[suspect] as number) / sd;
  const critical = grubbsCritical(n, alpha, side);
  // At the largest G there can be, t is infinite and p is 0.
  const room = (n - 1) ** 2 - n * g * g;
  const t = room <= 0 ? Infinity : Math.sqrt((n * (n - 2) * g * g) / room);
  const tail = t === Infinity ? 0 : tAbove(t, n - 2);
  const p = Math.min(1, tail * (side === "two-sided" ? 2 * n : n));
  return { g, critical, p, isOutlier: g > critical, suspect };
}
