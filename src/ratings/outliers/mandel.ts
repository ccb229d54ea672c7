import { oneWayAnova } from "../statistics/one-way-anova.ts";
import { fExceededBy, tExceededBy } from "../statistics/quantiles.ts";
import { summary } from "../statistics/summary.ts";

export interface Mandel {
  /** One for each judge (or laboratory), in the order given. */
  judges: { mean: number; sd: number | null; h: number | null; k: number | null }[];
  /** Beyond these h (either way) and k are strange, at 5 % and 1 %; null where replicates differ in number or there is only one each. */
  critical: Record<"h" | "k", { at5: number; at1: number } | null>;
  /** Variances: within judges (repeatability), between them (0 rather than below), and both together (reproducibility). */
  within: number | null;
  between: number | null;
  both: number | null;
}

/**
 * How far from the others a judge's mean may lie: |h| that chance exceeds with probability alpha.
 * @param judges at least 3. @param alpha two-sided.
 * @throws RangeError for fewer.
 * Source: ISO 5725-2:1994, table 6; exact formula: Wilrich 2013, doi:10.1007/s10182-011-0185-y.
 * @example
 * mandelHCritical(9, 0.01).toFixed(2); // => "2.13"
 */
export function mandelHCritical(judges: number, alpha: number): number {
  if (!(judges >= 3)) throw new RangeError(`mandelHCritical: ${judges} judges`);
  const t = tExceededBy(alpha / 2, judges - 2);
  return ((judges - 1) * t) / Math.sqrt(judges * (t * t + judges - 2));
}

/**
 * How much wilder than the others a judge's replicates may be: k that chance exceeds with probability alpha.
 * @param judges at least 2. @param replicates of each, at least 2. @param alpha one-sided.
 * @throws RangeError for fewer.
 * Source: ISO 5725-2:1994, table 6; exact formula: Wilrich 2013, doi:10.1007/s10182-011-0185-y.
 * @example
 * mandelKCritical(9, 2, 0.01).toFixed(2); // => "2.29"
 */
export function mandelKCritical(judges: number, replicates: number, alpha: number): number {
  if (!(judges >= 2 && replicates >= 2))
    throw new RangeError(`mandelKCritical: ${judges} judges, ${replicates} replicates`);
  const f = fExceededBy(alpha, replicates - 1, (judges - 1) * (replicates - 1));
  return Math.sqrt((judges * f) / (judges - 1 + f));
}

/**
 * Which judge marks unlike the others on the average (h), and which one is less steady (k).
 *
 * @param groups each judge's repeated marks of the same thing, any unit.
 * @returns h needs three judges whose means differ, k needs replicates that differ: else null. Between is 0 where chance alone would part them as much.
 * @throws RangeError when a mark is not finite, or a judge has none.
 *
 * Two strange judges hide each other; and with few judges h cannot become large at all ((judges - 1)/√judges is its limit).
 * Source: ISO 5725-2:1994, sections 7.3.1 and 7.4.4–7.4.5; unequal numbers as in its 7.4.4.
 *
 * @example
 * mandel([[1, 3], [2, 4], [6, 8]]).judges.map(({ h }) => h?.toFixed(2)); // => ["-0.76", "-0.38", "1.13"]
 */
export function mandel(groups: readonly (readonly number[])[]): Mandel {
  const each = groups.map((group) => summary(group));
  if (each.some((one) => one === null)) throw new RangeError("mandel: a judge without marks");
  const means = summary(each.map((one) => one?.mean ?? 0));
  const anova = oneWayAnova(groups);
  const within = anova?.within.ms ?? null;
  const p = groups.length;
  const sizes = new Set(groups.map((group) => group.length));
  const n = sizes.size === 1 ? (groups[0]?.length ?? 0) : 0;
  const marks = groups.reduce((sum, group) => sum + group.length, 0);
  const squares = groups.reduce((sum, group) => sum + group.length ** 2, 0);
  const perJudge = (marks - squares / marks) / (p - 1);
  const between =
    anova === null ? null : Math.max(0, (anova.between.ms - anova.within.ms) / perJudge);
  const isFlat = means === null || !means.sd || means.min === means.max;
  return {
    judges: each.map((one) => ({
      mean: one?.mean ?? 0,
      sd: one?.sd ?? null,
      h: isFlat || p < 3 ? null : ((one?.mean ?? 0) - means.mean) / (means.sd as number),
      k:
        within === null || anova?.f === null || one?.sd == null ? null : one.sd / Math.sqrt(within),
    })),
    critical: {
      h: p < 3 ? null : { at5: mandelHCritical(p, 0.05), at1: mandelHCritical(p, 0.01) },
      k:
        p < 2 || n < 2
          ? null
          : { at5: mandelKCritical(p, n, 0.05), at1: mandelKCritical(p, n, 0.01) },
    },
    within,
    between,
    both: within === null || between === null ? null : within + between,
  };
}
