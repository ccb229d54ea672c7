import { judgeGroups } from "./connected.ts";
import { type NoFit, reml } from "./reml.ts";
import { type Factor, type MarkColumns, termOf } from "./term.ts";

export interface Adjusted {
  /** One for each judge: how many marks lower than the panel everywhere; positive is severe. se is null where no difference was found. */
  severity: { estimate: number; se: number | null }[];
  /** One for each candidate: the mean as everybody of the panel would have marked, with its standard error. */
  candidates: { adjusted: number; se: number }[];
}
export interface NotAdjusted {
  reason: NoFit["reason"] | "one-judge" | "one-candidate" | "not-connected";
}

/**
 * How severe each judge is, and what each candidate's mean would be without that: candidates as they are (fixed), judges as a sample.
 *
 * @param columns marks with `candidate` and `judge`; where there are items or criteria, what is hard about them is taken out too.
 * @returns marks' unit; or why there is none: one judge, one candidate, groups of judges that no candidate links ("not-connected": every mean stays as it is).
 * @throws RangeError for a mark that is not finite.
 *
 * Candidates are never pulled towards each other. A panel that is severe as a whole cannot be seen; and with three judges severity is guessed more than measured. Advice only.
 * Source: Henderson 1975 (best linear unbiased prediction), doi:10.2307/2529430.
 *
 * @example
 * const factor = (levels, ...codes) => ({ levels, codes: Int32Array.from(codes) });
 * const factors = new Map([["candidate", factor(3, 0, 0, 1, 1, 2, 2)], ["judge", factor(2, 0, 1, 0, 1, 0, 1)]]);
 * const answer = adjusted({ marks: Float64Array.of(3, 1, 4, 2, 3, 1.1), factors });
 * answer.severity.map(({ estimate }) => estimate > 0); // => [false, true]
 */
export function adjusted(columns: MarkColumns): Adjusted | NotAdjusted {
  const { factors } = columns;
  const [judges, candidates] = [factors.get("judge"), factors.get("candidate")];
  if (!judges || !candidates) throw new RangeError("adjusted: needs candidate and judge");
  if (judges.levels < 2) return { reason: "one-judge" };
  if (candidates.levels < 2) return { reason: "one-candidate" };
  if (judgeGroups(judges, candidates).some((group) => group > 0))
    return { reason: "not-connected" };
  const others = ["item", "criterion"].filter((name) => (factors.get(name)?.levels ?? 0) > 1);
  const random = [["judge"]];
  const pairs = termOf(["candidate", "judge"], columns);
  // Marks of one judge for one candidate hang together; that must not look like certainty.
  if (others.length > 0 && pairs.levels < columns.marks.length) random.push(["candidate", "judge"]);
  const fit = reml(columns, random, [["candidate"], ...others.map((name) => [name])]);
  if ("reason" in fit) return { reason: fit.reason };
  const judgeTerm = fit.effects[0];
  const judgeErrors = fit.effectErrors()[0];
  const levelOf = (term: Factor, factor: Factor) => firstWith(term, factor);
  const judgePlaces = judgeTerm ? levelOf(judgeTerm.term, judges) : [];
  const candidateTerm = fit.fixed.find(({ term }) => term.name === "candidate")?.term;
  const places = candidateTerm ? levelOf(candidateTerm, candidates) : [];
  // Everybody as if marked on every item and criterion alike.
  const typical = fit.fixed
    .filter(({ term }) => term.name !== "candidate")
    .flatMap(({ term }) =>
      Array.from({ length: term.levels }, (_, level) => ({
        term: term.name,
        level,
        weight: 1 / term.levels,
      })),
    );
  return {
    severity: judgePlaces.map((place) => {
      const se = judgeErrors?.[place] as number;
      // "+ 0" turns -0 into 0.
      return { estimate: -(judgeTerm?.values[place] as number) + 0, se: se === 0 ? null : se };
    }),
    candidates: places.map((level) => {
      const { value, se } = fit.estimate([{ term: "candidate", level, weight: 1 }, ...typical]);
      return { adjusted: value, se };
    }),
  };
}

/** Which level of the term each level of the factor became. */
function firstWith(term: Factor, factor: Factor): number[] {
  const places = new Array<number>(factor.levels).fill(0);
  for (let i = 0; i < term.codes.length; i++)
    places[factor.codes[i] as number] = term.codes[i] as number;
  return places;
}
