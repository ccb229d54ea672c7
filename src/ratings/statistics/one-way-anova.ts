import { fAbove } from "./distributions.ts";
import { exactSum } from "./exact-sum.ts";

export interface OneWayAnova {
  between: { df: number; ss: number; ms: number };
  within: { df: number; ss: number; ms: number };
  /** `null` where the groups do not vary within: then there is nothing to compare with. */
  f: number | null;
  p: number | null;
  /** The groups' share of all variation; `null` when nothing varies. */
  rSquared: number | null;
  residualSd: number;
}

/**
 * Whether groups differ by more than their members do among themselves.
 *
 * @param groups values of each group, any unit; groups may differ in size, empty ones are left out.
 * @returns `null` where there are fewer than two groups, or no group has a second value.
 * @throws RangeError when a value is not finite.
 *
 * Centres before it squares, so values such as 1000000000000.4 keep their digits. Fails like every F test when the groups' spreads differ much.
 * Source: NIST Statistical Reference Datasets, analysis of variance; Fisher 1925, Statistical Methods for Research Workers, chapter VII.
 *
 * @example
 * oneWayAnova([[1, 2, 3], [3, 4, 5]])?.f; // => 6
 */
export function oneWayAnova(groups: readonly (readonly number[])[]): OneWayAnova | null {
  const filled = groups.filter((group) => group.length > 0);
  const n = filled.reduce((sum, group) => sum + group.length, 0);
  const [dfBetween, dfWithin] = [filled.length - 1, n - filled.length];
  if (dfBetween < 1 || dfWithin < 1) return null;
  const origin = exactSum(filled.flat()) / n;
  const moved = filled.map((group) => group.map((value) => value - origin));
  const grand = exactSum(moved.flat()) / n;
  const means = moved.map((group) => exactSum(group) / group.length);
  const meanOf = (i: number) => means[i] as number;
  const ssBetween = exactSum(moved.map((group, i) => group.length * (meanOf(i) - grand) ** 2));
  const ssWithin = exactSum(
    moved.flatMap((group, i) => group.map((value) => (value - meanOf(i)) ** 2)),
  );
  const [msBetween, msWithin] = [ssBetween / dfBetween, ssWithin / dfWithin];
  const varies = filled.some((group) => group.some((value) => value !== group[0]));
  const f = varies ? msBetween / msWithin : null;
  return {
    between: { df: dfBetween, ss: ssBetween, ms: msBetween },
    within: { df: dfWithin, ss: ssWithin, ms: msWithin },
    f,
    p: f === null ? null : fAbove(f, dfBetween, dfWithin),
    rSquared: ssBetween + ssWithin > 0 ? ssBetween / (ssBetween + ssWithin) : null,
    residualSd: Math.sqrt(msWithin),
  };
}
