import { chiSquareAbove, fAbove, normalAbove, tAbove } from "./distributions.ts";

/**
 * Where a falling tail passes this probability: bracketed on a doubling scale, then halved until no double lies between.
 * Slow (about a hundred evaluations) and never wrong by more than the tail itself is.
 */
function wherePassed(tail: (x: number) => number, above: number): number {
  let low = 0;
  let high = 1;
  while (tail(high) > above && high < 1e300) [low, high] = [high, high * 2];
  for (let step = 0; step < 1100; step++) {
    const middle = low + (high - low) / 2;
    if (middle <= low || middle >= high) break;
    if (tail(middle) > above) low = middle;
    else high = middle;
  }
  return high;
}

const inside = (name: string, above: number) => {
  if (!(above > 0 && above < 1)) throw new RangeError(`${name}: ${above} is not between 0 and 1`);
};

/**
 * The F that chance exceeds with this probability.
 * @param above probability of the upper tail, between 0 and 1. @param df1 @param df2 degrees of freedom.
 * @throws RangeError outside those.
 * Source: Abramowitz & Stegun 26.6, by bisection of `fAbove`.
 * @example
 * fExceededBy(0.5, 4, 4); // => 1
 */
export function fExceededBy(above: number, df1: number, df2: number): number {
  inside("fExceededBy", above);
  return wherePassed((f) => fAbove(f, df1, df2), above);
}

/**
 * The t that chance exceeds with this probability (one side).
 * @param above probability of the upper tail, between 0 and 1. @param degrees of freedom.
 * @throws RangeError outside those.
 * Source: Abramowitz & Stegun 26.7, by bisection of `tAbove`.
 * @example
 * tExceededBy(0.25, 1); // => 1
 */
export function tExceededBy(above: number, degrees: number): number {
  inside("tExceededBy", above);
  if (above > 0.5) return -tExceededBy(1 - above, degrees);
  return above === 0.5 ? 0 : wherePassed((t) => tAbove(t, degrees), above);
}

/**
 * The chi-square that chance exceeds with this probability.
 * @param above probability of the upper tail, between 0 and 1. @param degrees of freedom.
 * @throws RangeError outside those.
 * Source: Abramowitz & Stegun 26.4, by bisection of `chiSquareAbove`.
 * @example
 * chiSquareExceededBy(0.05, 2); // => 5.991464547107982
 */
export function chiSquareExceededBy(above: number, degrees: number): number {
  inside("chiSquareExceededBy", above);
  return wherePassed((chi2) => chiSquareAbove(chi2, degrees), above);
}

/**
 * The standard normal value that chance exceeds with this probability.
 * @param above probability of the upper tail, between 0 and 1.
 * @throws RangeError outside it.
 * Source: Abramowitz & Stegun 26.2, by bisection of `normalAbove`.
 * @example
 * normalExceededBy(0.5); // => 0
 * normalExceededBy(0.025); // => 1.959963984540054
 */
export function normalExceededBy(above: number): number {
  inside("normalExceededBy", above);
  if (above > 0.5) return -normalExceededBy(1 - above);
  return above === 0.5 ? 0 : wherePassed(normalAbove, above);
}
