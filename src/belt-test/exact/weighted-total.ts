import type { Rational } from "./rational.ts";

/** What a section adds to the total: its score in percent, and what it weighs. */
export interface Part {
  score: Rational | null;
  weight: bigint;
}

/** The mean of the sections by their weights, exactly, not in lowest terms. Null where a section has no score, or there is none. */
export function weightedTotal(parts: readonly Part[]): Rational | null {
  let [n, d, weights] = [0n, 1n, 0n];
  for (const { score, weight } of parts) {
    if (score === null) return null;
    weights += weight;
    if (score.d === d) n += weight * score.n;
    else {
      n = n * score.d + weight * score.n * d;
      d *= score.d;
    }
  }
  return weights === 0n ? null : { n, d: d * weights };
}
