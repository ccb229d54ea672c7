import { reml } from "../components/reml.ts";
import type { MarkColumns } from "../components/term.ts";
import { adjustedScore } from "./adjusted-score.ts";
import { composites } from "./composites.ts";
import { conditional } from "./conditional.ts";
import type { JudgeScores } from "./judge-scores.ts";
import { reduced, scoreWeight } from "./reduced.ts";
import { type NoSeverity, whyNot } from "./severities.ts";

export interface BestFit {
  /** One for each judge: how many marks lower than the panel everywhere; positive is severe. se is null where no difference was found. */
  severity: { estimate: number; se: number | null }[];
  /** One for each candidate: the mean as everybody of the panel would have marked, with its standard error (the marks' own noise in it). */
  candidates: { adjusted: number; se: number }[];
}
export interface NotFitted {
  reason: NoSeverity | "level-for-each-mark" | "no-error-left" | "not-settled";
}

/**
 * Severities and adjusted means of any panel, by the two spreads that fit its marks best: the model of `severities` where nothing is known of the unit of the marks,
 * so that no spread can be called plausible beforehand.
 *
 * Candidates as they are (fixed), judges as a sample (random). Where there are items or criteria each judge's marks of a candidate are averaged, each cell alike,
 * and what is hard about a cell is taken out where judges saw different ones (`composites`).
 *
 * @param columns marks with `candidate` and `judge`, perhaps `item` and `criterion`; no judge marks a cell of a candidate twice.
 * @returns marks' unit; or why there is none: one judge, one candidate, groups of judges that nothing links ("not-connected": every mean stays as it is), no spread to be found.
 * @throws RangeError for a mark that is not finite.
 *
 * Candidates are never pulled towards each other. A panel that is severe as a whole cannot be seen; with three judges the best spread is guessed more than measured,
 * which is why a belt test uses `severities`. Advice only.
 * Sources: Patterson & Thompson 1971, doi:10.1093/biomet/58.3.545; Henderson 1975 (best linear unbiased prediction), doi:10.2307/2529430.
 *
 * @example
 * const factor = (levels, ...codes) => ({ levels, codes: Int32Array.from(codes) });
 * const factors = new Map([["candidate", factor(3, 0, 0, 1, 1, 2, 2)], ["judge", factor(2, 0, 1, 0, 1, 0, 1)]]);
 * const answer = bestFit({ marks: Float64Array.of(3, 1, 4, 2, 3, 1.1), factors });
 * answer.severity.map(({ estimate }) => estimate > 0); // => [false, true]
 */
export function bestFit(columns: MarkColumns): BestFit | NotFitted {
  const scores = scoresOf(columns);
  const reason = whyNot(scores);
  if (reason) return { reason };
  const fit = reml(
    {
      marks: scores.level,
      factors: new Map([
        ["judge", { levels: scores.judges, codes: scores.judge }],
        ["candidate", { levels: scores.candidates, codes: scores.candidate }],
      ]),
    },
    [["judge"]],
    [["candidate"]],
  );
  if ("reason" in fit) return { reason: fit.reason as NotFitted["reason"] };
  const size = scores.judges;
  const variance = fit.components[0]?.variance as number;
  const residual = fit.residual.variance;
  const prior = { severity: 0, variance };
  const found =
    variance > 0
      ? conditional(
          reduced(scores),
          Array.from({ length: size }, () => prior),
          residual,
        )
      : { mean: new Float64Array(size), covariance: new Float64Array(size * size) };
  const judges = Array.from(found.mean, (severity, j) => ({
    // "+ 0" turns -0 into 0.
    severity: severity + 0,
    se: Math.sqrt(Math.max(0, found.covariance[j * size + j] as number)),
  }));
  return {
    severity: judges.map(({ severity, se }) => ({
      estimate: severity,
      se: variance > 0 ? se : null,
    })),
    candidates: meansOf(scores).map(({ mean, parts, weight }) => {
      const { adjusted, se } = adjustedScore(
        mean,
        parts,
        { judges, covariance: found.covariance },
        "standard",
      );
      return { adjusted, se: Math.sqrt(se ** 2 + residual / weight) };
    }),
  };
}

/** Every judge's mean of every candidate, each cell alike. */
function scoresOf({ marks, factors }: MarkColumns): JudgeScores {
  const [judge, candidate] = [factors.get("judge"), factors.get("candidate")];
  if (!judge || !candidate) throw new RangeError("bestFit: needs candidate and judge");
  const cellOf = new Map<string, number>();
  const cell = Array.from(marks, (_, i) => {
    const key = `${factors.get("item")?.codes[i] ?? 0}/${factors.get("criterion")?.codes[i] ?? 0}`;
    const place = cellOf.get(key) ?? cellOf.size;
    cellOf.set(key, place);
    return place;
  });
  const order = Array.from(marks, (_, i) => i).sort(
    (a, b) =>
      (candidate.codes[a] as number) - (candidate.codes[b] as number) ||
      (judge.codes[a] as number) - (judge.codes[b] as number) ||
      (cell[a] as number) - (cell[b] as number),
  );
  return composites({
    judges: judge.levels,
    candidates: candidate.levels,
    candidate: Int32Array.from(order, (i) => candidate.codes[i] as number),
    judge: Int32Array.from(order, (i) => judge.codes[i] as number),
    cell: Int32Array.from(order, (i) => cell[i] as number),
    level: Float64Array.from(order, (i) => marks[i] as number),
    weights: new Float64Array(cellOf.size).fill(1 / Math.max(1, cellOf.size)),
  });
}

/** Each candidate's mean, a judge who saw more counting more, and who made how much of it. */
function meansOf({ candidates, candidate, judge, level, share }: JudgeScores) {
  const all = Array.from({ length: candidates }, () => ({ sum: 0, weight: 0 }));
  const weights = Float64Array.from(share, scoreWeight);
  candidate.forEach((who, i) => {
    const its = all[who] as (typeof all)[number];
    its.weight += weights[i] as number;
    its.sum += (weights[i] as number) * (level[i] as number);
  });
  return all.map(({ sum, weight }, who) => ({
    mean: sum / weight,
    weight,
    parts: [...candidate.keys()]
      .filter((i) => candidate[i] === who)
      .map((i) => ({ judge: judge[i] as number, part: (weights[i] as number) / weight })),
  }));
}
