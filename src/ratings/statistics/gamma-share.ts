import { logGamma } from "./log-gamma.ts";

/**
 * The regularised incomplete gamma function, from above: the share of a gamma distribution of this shape that lies beyond x.
 *
 * @param x 0 or more. @param shape above 0.
 * @returns 0–1, relative error about 1e-13 for shapes up to some thousands; the small tail is not lost to 1 - …
 * @throws RangeError for a shape not above 0, or a negative x.
 * Source: NIST Digital Library of Mathematical Functions, 8.7.1 (series) and 8.9.2 (continued fraction).
 *
 * @example
 * gammaShareAbove(0, 3); // => 1
 */
export function gammaShareAbove(x: number, shape: number): number {
  if (!(shape > 0)) throw new RangeError(`gammaShareAbove: shape ${shape} must be above 0`);
  if (!(x >= 0)) throw new RangeError(`gammaShareAbove: ${x} is below 0`);
  if (x === 0) return 1;
  if (x === Infinity) return 0;
  const front = Math.exp(shape * Math.log(x) - x - logGamma(shape));
  return x < shape + 1 ? 1 - front * series(x, shape) : front * fraction(x, shape);
}

function series(x: number, shape: number): number {
  let term = 1 / shape;
  let sum = term;
  for (let n = 1; n < 100_000; n++) {
    term *= x / (shape + n);
    sum += term;
    if (term < sum * 1e-17) break;
  }
  return sum;
}

function fraction(x: number, shape: number): number {
  const tiny = 1e-300;
  let b = x + 1 - shape;
  let c = 1 / tiny;
  let d = 1 / b;
  let product = d;
  for (let n = 1; n < 100_000; n++) {
    const a = -n * (n - shape);
    b += 2;
    d = 1 / (a * d + b || tiny);
    c = b + a / c || tiny;
    product *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return product;
}
