import { composites } from "../severity/composites.ts";
import type { JudgeScores } from "../severity/judge-scores.ts";
import { severityBelief } from "../severity/severities.ts";
import { cholesky, choleskySolve } from "../statistics/cholesky.ts";
import type { AskedPanel, Part } from "./asked.ts";
import { between, spreadOf } from "./between.ts";
import { chanceToPass } from "./chance-to-pass.ts";
import { type PartScores, partScores } from "./part-scores.ts";

/** What priors are stated in: a quarter of the scale, in percent, however many levels the scale has. */
const STEP = 25;
/**
 * How much of an impression shows in the marks: where half of them or more are tapped, all; where nearly everything is “rest meets”, little, and judges look more alike than they are.
 * Half of all impressions are exceptions in a test at its level (docs/fairness.md).
 */
const responding = (tapped: number): number => Math.min(1, Math.sqrt(2 * Math.max(0.1, tapped)));
/** A pooled cell variance counts as this many degrees of freedom of a candidate's own. */
const POOL_WORTH = 20;
/** Sections against cells: believed equal before the marks, as firmly as this many section scores say. */
const EQUAL_WORTH = 20;
/** An impression of the whole differs from judge to judge by at least this much, in steps: less cannot be told from none. */
const LEAST_IMPRESSION = 0.05;
/** Three points of a normal spread, and their weights (Gauss–Hermite). */
const THREE = [
  { z: -Math.sqrt(3), weight: 1 / 6 },
  { z: 0, weight: 2 / 3 },
  { z: Math.sqrt(3), weight: 1 / 6 },
] as const;

/**
 * How likely each candidate would pass if all judges of the day marked without noise.
 *
 * What parts a score from that panel's: its judges' severity against all judges' (from `severityBelief`, with its uncertainty), the judge's impression of this candidate,
 * and the restlessness of single marks, which is each candidate's own: a candidate at *Meets* marked by exception is marked calmly, one below it is not.
 * Where most marks are “rest meets” the priors about judges shrink with the share that was tapped: such marks show less of what judges think apart.
 * Candidates of a test are taken as a normal crowd (all together, never by line or level) whose mean leaves the candidate out; how wide that crowd is comes from the scores.
 * The verdict's own score is never moved: this says only how sure it is.
 *
 * @param panel everybody's marks as they stood at lock. @returns by candidate a probability; null for a candidate some part of whom nobody saw, or of whom nothing is asked.
 * @throws RangeError for marks that are not sorted or not finite.
 *
 * Too sure where a noise is shared that nothing in the marks shows: judges who confer, or who all misread one technique. Section weights of unlike rubrics are pooled in percent.
 * Sources: variance components of generalizability theory, Brennan 2001, Generalizability Theory, chapters 3–4; conditional normal: Searle, Casella & McCulloch 1992, doi:10.1002/9780470316856, chapter 7.
 */
export function passChances(panel: AskedPanel): (number | null)[] {
  const { marks, candidates, tapped, known = [] } = panel;
  const { judges } = marks;
  const found = partScores(panel);
  const scores = composites(marks);
  const belief = severityBelief(scores, { known, level: STEP * responding(tapped) });
  const noise = noiseOf(found, belief.residualSd, scores);
  const whole = found.map((one, who) => {
    // Of whom nothing is asked there is nothing to be sure of.
    const size = (candidates[who] as AskedPanel["candidates"][number]).parts.length;
    if (!one || size === 0 || one.scores.some(Number.isNaN)) return null;
    return scoreAndNoise(one, size);
  });

  function scoreAndNoise(one: PartScores, size: number) {
    const centre = one.scores.slice();
    const off = new Float64Array(judges * size);
    for (let p = 0; p < size; p++)
      for (let j = 0; j < judges; j++) {
        const by = (one.loads[j * size + p] as number) - 1 / judges;
        off[j * size + p] = by;
        centre[p] =
          (centre[p] as number) + by * (belief.judges[j] as { severity: number }).severity;
      }
    const cellVariance =
      noise.ratio * ((one.squares + POOL_WORTH * noise.cell) / (one.degrees + POOL_WORTH));
    const fixed = new Float64Array(size * size);
    const impression = new Float64Array(size * size);
    for (let p = 0; p < size; p++)
      for (let q = 0; q <= p; q++) {
        let [its, shared] = [cellVariance * (one.cellShare[p * size + q] as number), 0];
        for (let i = 0; i < judges; i++) {
          const a = off[i * size + p] as number;
          shared += (one.loads[i * size + p] as number) * (one.loads[i * size + q] as number);
          for (let j = 0; j < judges; j++)
            its +=
              a * (off[j * size + q] as number) * (belief.covariance[i * judges + j] as number);
        }
        // What nobody saw is taken to be as unlike the rest as one mark is unlike its cell: cells of one part are not less alike than that.
        if (p === q) its += (1 - (one.seen[p] as number)) ** 2 * noise.cell;
        for (const at of [p * size + q, q * size + p]) {
          fixed[at] = its;
          impression[at] = shared;
        }
      }
    return { centre, fixed, impression };
  }

  const groups = new Map<readonly Part[], number[]>();
  candidates.forEach(({ parts }, who) => {
    if (!whole[who]) return;
    const its = groups.get(parts);
    if (its) its.push(who);
    else groups.set(parts, [who]);
  });
  const spread = spreadOf(
    [...groups].map(([parts, members]) => ({
      parts,
      members: members.map((who) => {
        const { centre, fixed, impression } = whole[who] as NonNullable<(typeof whole)[number]>;
        return { centre, noise: sumOf(fixed, impression, noise.impression) };
      }),
    })),
  );
  const results: (number | null)[] = candidates.map(() => null);
  for (const [parts, members] of groups) {
    const sums = new Float64Array(parts.length);
    for (const who of members)
      whole[who]?.centre.forEach((value, p) => {
        sums[p] = (sums[p] as number) + value;
      });
    for (const who of members) {
      const { centre, fixed, impression } = whole[who] as NonNullable<(typeof whole)[number]>;
      const others = members.length - 1;
      const mean = sums.map((value, p) => (value - (centre[p] as number)) / others);
      let chance = 0;
      for (const { z, weight } of THREE) {
        const error = sumOf(fixed, impression, noise.impression * Math.exp(z * noise.doubt));
        const crowd = others > 0 ? between(parts, spread, error, others) : null;
        const { at, covariance } = posterior(centre, error, mean, crowd);
        chance +=
          weight *
          chanceToPass(at, covariance, candidates[who] as AskedPanel["candidates"][number]);
      }
      results[who] = chance;
    }
  }
  return results;
}

const sumOf = (fixed: Float64Array, impression: Float64Array, variance: number): Float64Array =>
  fixed.map((value, at) => value + variance * (impression[at] as number));

/** How restless marks are over the whole test. */
function noiseOf(
  found: readonly (PartScores | null)[],
  residualSd: number,
  { level, judges }: JudgeScores,
) {
  // A stated prior, worth as much as the pool of one candidate: half a step, as docs/fairness.md supposes.
  let [squares, degrees] = [POOL_WORTH * (0.5 * STEP) ** 2, POOL_WORTH];
  let [sectionSquares, sectionExpected, count, wholes] = [0, 0, 0, 0];
  for (const one of found) {
    if (!one) continue;
    squares += one.squares;
    degrees += one.degrees;
  }
  const cell = squares / degrees;
  for (const one of found) {
    if (!one || one.degrees === 0) continue;
    const own = (one.squares + POOL_WORTH * cell) / (one.degrees + POOL_WORTH);
    sectionSquares += one.sectionSquares;
    sectionExpected += own * one.sectionExpected;
    if (one.wholeShare === 0) continue;
    wholes += own * one.wholeShare;
    count++;
  }
  const mean = sectionExpected / Math.max(1, count);
  const ratio =
    mean === 0 ? 1 : (sectionSquares + EQUAL_WORTH * mean) / (sectionExpected + EQUAL_WORTH * mean);
  const rest = residualSd ** 2 - (count === 0 ? 0 : (ratio * wholes) / count);
  const impression = Math.max(rest, (LEAST_IMPRESSION * STEP) ** 2);
  const free = Math.max(0, level.length - found.filter(Boolean).length - (judges - 1));
  // The residual's variance is known to √(2 / its degrees of freedom); the impression is what is left of it.
  const doubt = Math.min(1, Math.sqrt(2 / (4 + free)) * (residualSd ** 2 / impression));
  return { cell, ratio, impression, doubt };
}

function posterior(
  centre: Float64Array,
  error: Float64Array,
  mean: Float64Array,
  crowd: Float64Array | null,
): { at: Float64Array; covariance: Float64Array } {
  if (!crowd) return { at: centre, covariance: error };
  const size = centre.length;
  const both = crowd.map((value, i) => value + (error[i] as number));
  const { dropped } = cholesky(both, size);
  const away = centre.map((value, p) => value - (mean[p] as number));
  choleskySolve(both, size, away, dropped);
  const at = mean.map((value, p) => {
    let sum = value;
    for (let q = 0; q < size; q++) sum += (crowd[p * size + q] as number) * (away[q] as number);
    return sum;
  });
  const covariance = crowd.slice();
  for (let q = 0; q < size; q++) {
    const column = Float64Array.from({ length: size }, (_, p) => crowd[p * size + q] as number);
    choleskySolve(both, size, column, dropped);
    for (let p = 0; p < size; p++) {
      let sum = 0;
      for (let k = 0; k < size; k++) sum += (crowd[p * size + k] as number) * (column[k] as number);
      covariance[p * size + q] = (covariance[p * size + q] as number) - sum;
    }
  }
  return { at, covariance };
}
