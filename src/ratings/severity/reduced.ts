import type { JudgeScores } from "./judge-scores.ts";

/** What judges' scores say of the judges, once every candidate's own level is taken out. */
export interface Reduced {
  /** Judges × judges, row by row: the weighted Laplacian of who was marked by whom together. In units of 1/variance of the residual. */
  laplacian: Float64Array;
  /** One for each judge: weighted sum of how far this judge's scores lie *below* their candidates' means. */
  below: Float64Array;
  /** Weighted sum of squares about the candidates' means. */
  squares: number;
  /** Scores, and candidates that have one. */
  scores: number;
  candidates: number;
}

/**
 * How much a score counts, against one from the whole rubric: half of what parts two judges of one candidate is an impression of the whole
 * and does not get less with more cells; the other half does.
 * @param share of the rubric's weight that was seen, above 0 up to 1.
 * @example
 * scoreWeight(1); // => 1
 * scoreWeight(0.25); // => 0.4
 */
export const scoreWeight = (share: number): number => (2 * share) / (1 + share);

/**
 * The sums that are left when candidates are taken as they are (fixed, a flat prior) and integrated out: everything about severity is in them.
 *
 * A candidate with one judge leaves nothing: it says nothing about that judge.
 * Source: Henderson 1975 (absorbing fixed effects in mixed model equations), doi:10.2307/2529430.
 *
 * @example
 * const both = judgeScores([{ judge: 0, candidate: 0, level: 3 }, { judge: 1, candidate: 0, level: 2 }]);
 * [...reduced(both).laplacian, ...reduced(both).below]; // => [0.5, -0.5, -0.5, 0.5, -0.5, 0.5]
 */
export function reduced({
  judges,
  candidates,
  judge,
  candidate,
  level,
  share,
}: JudgeScores): Reduced {
  const sum = new Float64Array(candidates);
  const weights = new Float64Array(candidates);
  const size = level.length;
  const weight = new Float64Array(size);
  const first = new Int32Array(candidates + 1);
  for (let i = 0; i < size; i++) {
    const its = scoreWeight(share[i] as number);
    const who = candidate[i] as number;
    weight[i] = its;
    weights[who] = (weights[who] as number) + its;
    sum[who] = (sum[who] as number) + its * (level[i] as number);
    first[who + 1] = (first[who + 1] as number) + 1;
  }
  for (let c = 0; c < candidates; c++)
    first[c + 1] = (first[c + 1] as number) + (first[c] as number);
  const laplacian = new Float64Array(judges * judges);
  const below = new Float64Array(judges);
  let squares = 0;
  let marked = 0;
  // Rows come sorted by candidate: see judgeScores.
  for (let c = 0; c < candidates; c++) {
    const [from, to] = [first[c] as number, first[c + 1] as number];
    if (from === to) continue;
    marked++;
    const all = weights[c] as number;
    const mean = (sum[c] as number) / all;
    for (let i = from; i < to; i++) {
      const [a, own] = [judge[i] as number, weight[i] as number];
      const apart = (level[i] as number) - mean;
      squares += own * apart * apart;
      below[a] = (below[a] as number) - own * apart;
      laplacian[a * judges + a] = (laplacian[a * judges + a] as number) + own;
      for (let k = from; k < to; k++) {
        const at = a * judges + (judge[k] as number);
        laplacian[at] = (laplacian[at] as number) - (own * (weight[k] as number)) / all;
      }
    }
  }
  return { laplacian, below, squares, scores: size, candidates: marked };
}
