import { cholesky } from "../statistics/cholesky.ts";
import { evenNormals } from "../statistics/even-normals.ts";
import { normalBelow } from "../statistics/normal-below.ts";
import type { Asked, Part } from "./asked.ts";

const POINTS = 64;
const clouds = new Map<number, Float64Array>();

/**
 * How likely scores that are known so well reach everything that is asked: every floor and must-show, and the total.
 *
 * @param mean @param covariance of the parts' scores, in percent; the covariance row by row (parts × parts). @param asked what is to be reached, at ≥.
 * @returns a probability; the same every time. Off by about .002 with several floors near the scores, exact with none.
 *
 * The total's direction is integrated exactly, the rest over evenly spread points.
 * Source: conditioning on one direction as in Genz & Bretz 2009, doi:10.1007/978-3-642-01689-9, chapter 4.
 *
 * @example
 * const part = { cells: new Int32Array(1), weights: new Float64Array([1]), floor: 0, share: 1, within: null };
 * chanceToPass(new Float64Array([60]), new Float64Array([100]), { parts: [part], pass: 60, isBarred: false }).toFixed(3); // => "0.500"
 */
export function chanceToPass(
  mean: Float64Array,
  covariance: Float64Array,
  { parts, pass, isBarred }: Omit<Asked, "combine">,
): number {
  if (isBarred) return 0;
  const size = parts.length;
  let [total, variance] = [0, 0];
  const towards = new Float64Array(size);
  for (let p = 0; p < size; p++) {
    total += (parts[p] as Part).share * (mean[p] as number);
    for (let q = 0; q < size; q++)
      towards[p] =
        (towards[p] as number) + (covariance[p * size + q] as number) * (parts[q] as Part).share;
    variance += (parts[p] as Part).share * (towards[p] as number);
  }
  const spread = Math.sqrt(Math.max(variance, 1e-12));
  const least = (pass - HAIR - total) / spread;
  for (let p = 0; p < size; p++) towards[p] = (towards[p] as number) / spread;
  const triangle = covariance.slice();
  for (let p = 0; p < size; p++) triangle[p * size + p] = (triangle[p * size + p] as number) + 1e-9;
  cholesky(triangle, size);
  let cloud = clouds.get(size);
  if (!cloud) clouds.set(size, (cloud = evenNormals(POINTS, size)));
  let sum = 0;
  for (let point = 0; point < POINTS; point++) {
    // What this point moves the total by is the exact direction's business: it is taken out again.
    const moved = new Float64Array(size);
    let along = 0;
    for (let p = 0; p < size; p++) {
      let value = 0;
      for (let q = 0; q <= p; q++)
        value += (triangle[p * size + q] as number) * (cloud[point * size + q] as number);
      moved[p] = value;
      along += (value * (parts[p] as Part).share) / spread;
    }
    let [low, high] = [least, Number.POSITIVE_INFINITY];
    for (let p = 0; p < size; p++) {
      const slope = towards[p] as number;
      const short =
        (parts[p] as Part).floor -
        HAIR -
        (mean[p] as number) -
        ((moved[p] as number) - along * slope);
      if (Math.abs(slope) < 1e-9) {
        if (short > 0) high = Number.NEGATIVE_INFINITY;
      } else if (slope > 0) low = Math.max(low, short / slope);
      else high = Math.min(high, short / slope);
    }
    if (high > low) sum += normalBelow(-low) - normalBelow(-high);
  }
  return Math.min(1, Math.max(0, sum / POINTS));
}

/** So that a score exactly at the line is not failed by its last binary digit. */
const HAIR = 1e-9;
