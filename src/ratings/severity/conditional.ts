import { cholesky, choleskyInverse } from "../statistics/cholesky.ts";
import type { Reduced } from "./reduced.ts";

/** What is believed of one judge before the marks: normal, in levels. */
export interface Prior {
  severity: number;
  variance: number;
}

/** Severities when both spreads are taken as known. */
export interface Conditional {
  mean: Float64Array;
  /** Judges × judges, row by row. */
  covariance: Float64Array;
  /** Logarithm of the probability of the scores with candidates integrated out (flat) and severities too, but for a constant. */
  logLikelihood: number;
}

/**
 * Severities of all judges together, were the spreads known: one small solve.
 *
 * @param sums what `reduced` left of the scores. @param priors one for each judge, variance above 0. @param variance of the residual, above 0.
 * @returns best linear unbiased predictions where every prior is (0, the variance of severities); `logLikelihood` is then that of REML.
 * Source: Henderson 1975, doi:10.2307/2529430; Patterson & Thompson 1971, doi:10.1093/biomet/58.3.545.
 *
 * @example
 * const both = judgeScores([{ judge: 0, candidate: 0, level: 3 }, { judge: 1, candidate: 0, level: 2 }]);
 * const prior = { severity: 0, variance: 1 };
 * conditional(reduced(both), [prior, prior], 1).mean[1]; // => 0.25
 */
export function conditional(
  { laplacian, below, squares, scores, candidates }: Reduced,
  priors: readonly Prior[],
  variance: number,
): Conditional {
  const size = priors.length;
  const a = laplacian.map((value) => value / variance);
  const right = below.map((value) => value / variance);
  let quadratic = squares / variance;
  let logPriors = 0;
  priors.forEach(({ severity, variance: its }, j) => {
    a[j * size + j] = (a[j * size + j] as number) + 1 / its;
    right[j] = (right[j] as number) + severity / its;
    quadratic += (severity * severity) / its;
    logPriors += Math.log(its);
  });
  const { halfLogDeterminant } = cholesky(a, size);
  const covariance = choleskyInverse(a, size);
  const mean = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    let sum = 0;
    for (let j = 0; j < size; j++)
      sum += (covariance[i * size + j] as number) * (right[j] as number);
    mean[i] = sum;
    quadratic -= sum * (right[i] as number);
  }
  const logLikelihood =
    -((scores - candidates) / 2) * Math.log(variance) -
    logPriors / 2 -
    halfLogDeterminant -
    quadratic / 2;
  return { mean, covariance, logLikelihood };
}
