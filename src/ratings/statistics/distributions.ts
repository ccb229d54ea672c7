import { betaShare } from "./beta-share.ts";
import { gammaShareAbove } from "./gamma-share.ts";

const df = (name: string, ...given: readonly number[]) => {
  const wrong = given.find((value) => !(value > 0 && value < Infinity));
  if (wrong !== undefined) throw new RangeError(`${name}: ${wrong} degrees of freedom`);
};
const finite = (name: string, value: number) => {
  if (Number.isNaN(value)) throw new RangeError(`${name}: NaN`);
};

/**
 * How likely Snedecor's F is at least this large by chance alone.
 * @param f 0 or more (a negative F counts as 0). @param df1 @param df2 degrees of freedom, above 0, whole or not.
 * @throws RangeError for NaN, or degrees of freedom not above 0.
 * Source: NIST Digital Library of Mathematical Functions 8.17; Abramowitz & Stegun 26.6.2.
 * @example
 * fAbove(1, 4, 4); // => 0.5
 */
export function fAbove(f: number, df1: number, df2: number): number {
  finite("fAbove", f);
  df("fAbove", df1, df2);
  if (f <= 0) return 1;
  if (f === Infinity) return 0;
  const below = df1 * f;
  return betaShare(df2 / (df2 + below), df2 / 2, df1 / 2, below / (df2 + below));
}

/**
 * How likely Student's t is at least this large by chance alone (one side).
 * @param t any number. @param degrees of freedom, above 0.
 * @throws RangeError for NaN, or degrees of freedom not above 0.
 * Source: Abramowitz & Stegun 26.7.1.
 * @example
 * tAbove(1, 1); // => 0.25
 */
export function tAbove(t: number, degrees: number): number {
  finite("tAbove", t);
  df("tAbove", degrees);
  const half = fAbove(t * t, 1, degrees) / 2;
  return t >= 0 ? half : 1 - half;
}

/**
 * How likely chi-square is at least this large by chance alone.
 * @param chi2 0 or more (less counts as 0). @param degrees of freedom, above 0.
 * @throws RangeError for NaN, or degrees of freedom not above 0.
 * Source: Abramowitz & Stegun 26.4.19.
 * @example
 * chiSquareAbove(0, 3); // => 1
 */
export function chiSquareAbove(chi2: number, degrees: number): number {
  finite("chiSquareAbove", chi2);
  df("chiSquareAbove", degrees);
  return gammaShareAbove(Math.max(0, chi2) / 2, degrees / 2);
}

/**
 * How likely a standard normal value is at least this large.
 * @throws RangeError for NaN.
 * Source: Abramowitz & Stegun 26.2.29 with 7.1 (by the incomplete gamma function, shape one half).
 * @example
 * normalAbove(0); // => 0.5
 */
export function normalAbove(z: number): number {
  finite("normalAbove", z);
  const half = gammaShareAbove((z * z) / 2, 0.5) / 2;
  return z >= 0 ? half : 1 - half;
}
