import { cholesky, choleskySolve } from "../statistics/cholesky.ts";
import { type Conditional, conditional, type Prior } from "./conditional.ts";
import type { JudgeScores } from "./judge-scores.ts";
import { type Reduced, reduced } from "./reduced.ts";

/** What was measured of a judge before today's marks, against the standard: from anchors, from earlier tests. */
export interface KnownSeverity {
  /** In levels, positive = severe everywhere. */
  severity: number;
  /** How far the measurement may be off, as a standard deviation in levels; above 0. */
  sd: number;
}

export type NoSeverity =
  /** Nobody to compare with. */
  | "one-judge"
  /** One performance cannot tell a severe judge from a judge who saw more. */
  | "one-candidate"
  /** Groups of judges that no shared marks link: see `missingLinks`. */
  | "not-connected"
  /** Every score is the same: nothing to learn from. */
  | "all-equal";

export interface Severities {
  kind: "estimated";
  /**
   * One for each judge: how many levels lower than the standard it marks everywhere; positive = severe.
   * `se`: the posterior's standard deviation. Where nothing was known beforehand both are measured from the panel's own mean.
   */
  judges: { severity: number; se: number }[];
  /** Judges × judges, row by row: posterior covariance of those severities. */
  covariance: Float64Array;
  /** Standard deviation among judges, and of what is left of one judge's score of one candidate. */
  severitySd: number;
  residualSd: number;
  /** Whether anything was known beforehand: only then is the level that the whole panel shares told from the candidates' own. */
  hasStandard: boolean;
}
export interface NotEstimated {
  kind: "not-possible";
  reason: NoSeverity;
}

/** What is plausible before anybody has marked, in levels: ours, from the spreads that `docs/fairness.md` supposes. */
const SEVERITY_SCALE = 0.3;
const RESIDUAL_SD = 0.25;
const RESIDUAL_WORTH = 4;
/** The two small grids: severity sd from .02 to 2.5 levels; residual sd to ± 2.5 of its own standard errors, with the width of each step. */
const SEVERITY_GRID = Array.from({ length: 12 }, (_, at) => 0.02 * 125 ** (at / 11));
const RESIDUAL_GRID = [-2.5, -1.5, -0.75, 0, 0.75, 1.5, 2.5].map((z, at) => ({
  z,
  width: [1, 0.875, 0.75, 0.75, 0.75, 0.875, 1][at] as number,
}));

/**
 * How severe each judge of a panel is: candidates as they are (fixed), judges as a sample (random), everybody's scores of the day together.
 *
 * A candidate is never pulled towards others, so lines formed by level do no harm. The two standard deviations (of severities, of the rest) have weakly
 * informative priors and are integrated out on a grid, so a panel of three is not given the one value that happens to fit best: half-t with 4 degrees of
 * freedom and scale 0.3 levels for severities; for the rest, scaled inverse chi-square worth four scores at 0.25 levels.
 *
 * @param scores  judges' scores, in levels (or any unit with `level`).
 * @param options `known`: by judge, what was measured beforehand, in the scores' unit: a prior for that judge, itself tempered by how much judges differ at all. `level`: how much one level is in the scores' unit (default 1).
 * @returns severities in the scores' unit; or why there are none.
 *   Without anything known their mean is 0: one day's marks cannot tell a severe panel from weak candidates.
 * @throws RangeError for a known severity or sd that is not finite, or an sd not above 0.
 *
 * Fails where a judge is severe with some and lenient with others (own students): that is no severity. A judge who gave everybody the same mark is taken at that mark.
 * Sources: Henderson 1975, doi:10.2307/2529430; priors: Gelman 2006, doi:10.1214/06-BA117A; integrating on a grid: Rue, Martino & Chopin 2009, doi:10.1111/j.1467-9868.2008.00700.x.
 *
 * @example
 * const rows = [0, 1, 2, 3].flatMap((candidate) => [0, 1].map((judge) => ({ judge, candidate, level: 2 + candidate / 4 - judge / 2 })));
 * severities(judgeScores(rows)).judges.map(({ severity }) => severity.toFixed(2)); // => ["-0.21", "0.21"]
 */
export function severities(
  scores: JudgeScores,
  { known = [], level = 1 }: { known?: readonly (KnownSeverity | null)[]; level?: number } = {},
): Severities | NotEstimated {
  for (const one of known)
    if (one && !(Number.isFinite(one.severity) && one.sd > 0 && one.sd < Infinity))
      throw new RangeError(`severities: known as ${one.severity} with sd ${one.sd}`);
  const reason = whyNot(scores, known);
  if (reason) return { kind: "not-possible", reason };
  return severityBelief(scores, { known, level });
}

/**
 * The same where judges cannot be compared, too: what is believed of them then is mostly the prior, as wide as judges differ. For saying how sure a score is; never for adjusting one.
 *
 * @param scores @param options as in `severities`. @returns as `severities`; groups that nothing links have the same level on the average, and the covariance says how little is known of it.
 */
export function severityBelief(
  scores: JudgeScores,
  { known = [], level = 1 }: { known?: readonly (KnownSeverity | null)[]; level?: number } = {},
): Severities {
  return averaged(pointsOf(reduced(scores), scores.judges, known, level), scores.judges, known);
}

/**
 * Why no severity can be estimated from these scores; null where it can.
 * Whoever is known is linked to the standard, and so to everybody else who is: then groups of judges, one judge or one candidate are no hindrance.
 */
export function whyNot(
  { judge, candidate, level, groups }: JudgeScores,
  known: readonly (KnownSeverity | null)[] = [],
): NoSeverity | null {
  const judges = [...new Set(judge)];
  const linked = new Set(judges.filter((one) => known[one]).map((one) => groups[one]));
  const all = new Set(judges.map((one) => groups[one]));
  if (judges.length > 0 && linked.size === all.size) return null;
  if (judges.length < 2) return "one-judge";
  if (new Set(candidate).size < 2) return "one-candidate";
  if (all.size > 1) return "not-connected";
  return level.every((one) => one === level[0]) ? "all-equal" : null;
}

interface GridPoint extends Conditional {
  logWeight: number;
  severitySd: number;
  residualSd: number;
}

function pointsOf(
  sums: Reduced,
  judges: number,
  known: readonly (KnownSeverity | null)[],
  level: number,
): GridPoint[] {
  const { centre, width } = residualGuess(sums, judges, level);
  return RESIDUAL_GRID.flatMap((residual) =>
    SEVERITY_GRID.map((tau) => {
      const severitySd = tau * level;
      const residualSd = centre * Math.exp(residual.z * width);
      const priors = Array.from({ length: judges }, (_, j) => tempered(known[j], severitySd ** 2));
      const found = conditional(sums, priors, residualSd ** 2);
      const logWeight =
        found.logLikelihood +
        priors.reduce((sum, { logChance }) => sum + logChance, 0) +
        Math.log(residual.width) +
        logResidualPrior((residualSd / level) ** 2) +
        logSeverityPrior(tau);
      return { ...found, logWeight, severitySd, residualSd };
    }),
  );
}

/** A judge before the marks: one of the judges there are, and what was measured of this one, if anything. */
function tempered(
  known: KnownSeverity | null | undefined,
  variance: number,
): Prior & { logChance: number } {
  if (!known) return { severity: 0, variance, logChance: 0 };
  const both = variance + known.sd ** 2;
  return {
    severity: (known.severity * variance) / both,
    variance: (variance * known.sd ** 2) / both,
    logChance: -(Math.log(both) + known.severity ** 2 / both) / 2,
  };
}

/** Density of log σ under a scaled inverse chi-square for σ², but for a constant. */
const logResidualPrior = (variance: number): number =>
  (-RESIDUAL_WORTH / 2) * (Math.log(variance) + RESIDUAL_SD ** 2 / variance);
/** Density of log τ under a half-t with 4 degrees of freedom, but for a constant. */
const logSeverityPrior = (tau: number): number =>
  Math.log(tau) - 2.5 * Math.log(1 + (tau / SEVERITY_SCALE) ** 2 / 4);

/** Where the residual's standard deviation probably lies, and the standard error of its logarithm: judges as fixed, prior included. */
function residualGuess(
  { laplacian, below, squares, scores, candidates }: Reduced,
  size: number,
  level: number,
): { centre: number; width: number } {
  const a = laplacian.slice();
  const answer = below.slice();
  // What hangs on the others (everybody's common level) is dropped by the factorisation, and the residual is the same.
  const { dropped } = cholesky(a, size);
  choleskySolve(a, size, answer, dropped);
  const explained = answer.reduce((sum, value, j) => sum + value * (below[j] as number), 0);
  const degrees = Math.max(0, scores - candidates - (size - 1));
  const worth = RESIDUAL_WORTH + degrees;
  const rest = degrees > 0 ? Math.max(0, squares - explained) : 0;
  return {
    centre: Math.sqrt((RESIDUAL_WORTH * (RESIDUAL_SD * level) ** 2 + rest) / worth),
    width: 1 / Math.sqrt(2 * worth),
  };
}

function averaged(
  points: readonly GridPoint[],
  size: number,
  known: readonly (KnownSeverity | null)[],
): Severities {
  const most = points.reduce((best, { logWeight }) => Math.max(best, logWeight), -Infinity);
  const weights = points.map(({ logWeight }) => Math.exp(logWeight - most));
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  const average = (of: (point: GridPoint) => number): number =>
    points.reduce((sum, point, at) => sum + (weights[at] as number) * of(point), 0) / all;
  const mean = Float64Array.from({ length: size }, (_, j) =>
    average(({ mean: its }) => its[j] as number),
  );
  const covariance = Float64Array.from({ length: size * size }, (_, at) => {
    const [i, j] = [Math.floor(at / size), at % size];
    // Law of total covariance: within the points of the grid, and between them.
    return average(
      ({ mean: its, covariance: within }) =>
        (within[at] as number) +
        ((its[i] as number) - (mean[i] as number)) * ((its[j] as number) - (mean[j] as number)),
    );
  });
  const hasStandard = known.some((one) => Boolean(one));
  if (!hasStandard) fromOwnMean(mean, covariance);
  return {
    kind: "estimated",
    judges: Array.from(mean, (severity, j) => ({
      severity,
      se: Math.sqrt(Math.max(0, covariance[j * size + j] as number)),
    })),
    covariance,
    severitySd: average((point) => point.severitySd),
    residualSd: average((point) => point.residualSd),
    hasStandard,
  };
}

/** Measures severities and their covariance from the panel's own mean, in place: nothing else is known of it. */
function fromOwnMean(mean: Float64Array, covariance: Float64Array): void {
  const size = mean.length;
  const common = mean.reduce((sum, value) => sum + value, 0) / size;
  for (let j = 0; j < size; j++) mean[j] = (mean[j] as number) - common;
  const rows = Float64Array.from({ length: size }, (_, i) => {
    let sum = 0;
    for (let j = 0; j < size; j++) sum += covariance[i * size + j] as number;
    return sum / size;
  });
  const grand = rows.reduce((sum, value) => sum + value, 0) / size;
  for (let i = 0; i < size; i++)
    for (let j = 0; j < size; j++) {
      const at = i * size + j;
      covariance[at] =
        (covariance[at] as number) - (rows[i] as number) - (rows[j] as number) + grand;
    }
}
