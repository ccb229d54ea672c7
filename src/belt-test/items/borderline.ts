import { median } from "../../ratings/median.ts";
import { straightLine } from "./straight-line.ts";

/** One candidate's score, in percent, and what the judges said of it as a whole: 1 clear retest, 2 borderline, 3 pass, 4 strong; between them where judges differ. */
export interface BorderlineCase {
  score: number;
  judgement: number;
}

/** A pass mark that judges' own words point at; null with the reason where too little speaks for one. `cases`: how many it rests on. */
export type BorderlineMark =
  | { mark: number; cases: number; error: number | null; reason?: undefined }
  | { mark: null; cases: number; error: null; reason: "too-few" | "all-equal" };

/** Both methods, as advice beside the mark the school has set. */
export interface Borderline {
  /** The median score of those whom the judges called borderline. */
  group: BorderlineMark;
  /** Where the line of scores on judgements stands at “borderline”. `share`: how much of the scores' differences the judgements explain, 0–1. */
  regression: BorderlineMark & { share: number | null };
}

/** “Borderline” among the overall judgements. */
const BORDERLINE = 2;
/** Below so many cases neither method says anything: ours. A dojo needs several tests for it. */
export const ENOUGH_CASES = { group: 10, regression: 20 } as const;

/**
 * Where judges' overall judgements put the pass mark.
 *
 * @param cases one for each candidate and whatever was judged as a whole; those of several tests may be put together, by the same rubric.
 * @returns percent. The group's error is not given: so few borderline cases hardly have one.
 * @throws RangeError for a score outside 0–100 or a judgement outside 1–4.
 *
 * One dojo's day is too small: both are advice over pooled tests, with their number of cases. They say where judges draw the line, not where it ought to be.
 * Source: Wood, Humphrey-Murto & Norman 2006, doi:10.1007/s10459-005-7853-1 (both methods side by side, in small examinations).
 *
 * @example
 * borderline([{ score: 60, judgement: 2 }]).group; // => { mark: null, cases: 1, error: null, reason: "too-few" }
 */
export function borderline(cases: readonly BorderlineCase[]): Borderline {
  for (const { score, judgement } of cases)
    if (!(score >= 0 && score <= 100 && judgement >= 1 && judgement <= 4))
      throw new RangeError(`borderline: ${score} % judged ${judgement}`);
  // Where judges of one candidate differ, halfway and more is the next word.
  const group = cases.filter(({ judgement }) => Math.floor(judgement + 0.5) === BORDERLINE);
  const line = straightLine(cases.map(({ score, judgement }) => [judgement, score] as const));
  const none = (count: number, reason: "too-few" | "all-equal") =>
    ({ mark: null, cases: count, error: null, reason }) as const;
  return {
    group:
      group.length < ENOUGH_CASES.group
        ? none(group.length, "too-few")
        : { mark: median(group.map(({ score }) => score)), cases: group.length, error: null },
    regression: {
      ...(cases.length < ENOUGH_CASES.regression
        ? none(cases.length, "too-few")
        : line === null
          ? none(cases.length, "all-equal")
          : { mark: line.at(BORDERLINE), cases: cases.length, error: line.errorAt(BORDERLINE) }),
      share: cases.length < ENOUGH_CASES.regression || line === null ? null : line.correlation ** 2,
    },
  };
}
