import { fAbove } from "../statistics/distributions.ts";
import { fExceededBy } from "../statistics/quantiles.ts";
import { summary } from "../statistics/summary.ts";

export interface CochranC {
  /** The largest variance as a share of all variances. */
  c: number;
  critical: { at5: number; at1: number };
  p: number;
  /** Which judge (place in the list). */
  suspect: number;
}

/**
 * The largest share of all variances that chance leaves alone.
 * @param judges at least 2. @param replicates of each, at least 2. @param alpha risk of a false alarm.
 * @throws RangeError for fewer.
 * Source: Cochran 1941, doi:10.1111/j.1469-1809.1941.tb02271.x; with F: 't Lam 2010, doi:10.1016/j.chemolab.2009.11.010. Table 4 of ISO 5725-2:1994.
 * @example
 * cochranCritical(9, 2, 0.05).toFixed(3); // => "0.638"
 */
export function cochranCritical(judges: number, replicates: number, alpha: number): number {
  if (!(judges >= 2 && replicates >= 2))
    throw new RangeError(`cochranCritical: ${judges} judges, ${replicates} replicates`);
  const f = fExceededBy(alpha / judges, replicates - 1, (judges - 1) * (replicates - 1));
  return f / (f + judges - 1);
}

/**
 * Whether the least steady judge is less steady than the others can explain.
 *
 * @param groups each judge's repeated marks, the same number of each, at least 2.
 * @returns the test; or why there is none: fewer than two judges, single or differently many replicates, no variance anywhere. p is Bonferroni's bound, at most 1.
 * @throws RangeError when a mark is not finite.
 *
 * A test for the largest variance only; it says nothing of a judge who is too steady to be true.
 * Source: ISO 5725-2:1994, section 7.3.3; Cochran 1941, doi:10.1111/j.1469-1809.1941.tb02271.x.
 *
 * @example
 * const answer = cochranC([[1, 2], [3, 4], [5, 9]]);
 * "c" in answer && [answer.c.toFixed(3), answer.suspect]; // => ["0.889", 2]
 */
export function cochranC(
  groups: readonly (readonly number[])[],
): CochranC | { reason: "too-few-values" | "replicates-differ" | "all-equal" } {
  const n = groups[0]?.length ?? 0;
  if (groups.some((group) => group.length !== n)) return { reason: "replicates-differ" };
  if (groups.length < 2 || n < 2) return { reason: "too-few-values" };
  const variances = groups.map((group) => {
    const found = summary(group);
    return found === null || found.min === found.max ? 0 : (found.sd as number) ** 2;
  });
  const total = variances.reduce((sum, variance) => sum + variance, 0);
  if (total === 0) return { reason: "all-equal" };
  const suspect = variances.indexOf(Math.max(...variances));
  const c = (variances[suspect] as number) / total;
  const p = groups.length;
  const f = c === 1 ? Infinity : (c * (p - 1)) / (1 - c);
  return {
    c,
    critical: { at5: cochranCritical(p, n, 0.05), at1: cochranCritical(p, n, 0.01) },
    p: Math.min(1, p * fAbove(f, n - 1, (p - 1) * (n - 1))),
    suspect,
  };
}
