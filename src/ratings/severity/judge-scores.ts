import { judgeGroups } from "../components/connected.ts";

/** What each judge's marks of each candidate come to: one row for each pair that has any. */
export interface JudgeScores {
  judges: number;
  candidates: number;
  /** Who, to whom: places from 0. */
  judge: Int32Array;
  candidate: Int32Array;
  /** The weighted mean of this judge's marks for this candidate, in levels. */
  level: Float64Array;
  /** How much of the rubric's weight this judge saw of this candidate, above 0 up to 1. */
  share: Float64Array;
  /** For each judge, the group of judges it can be compared with: 0 for the first group. All 0 where the panel hangs together. */
  groups: readonly number[];
}

/** Rows as a table of `JudgeScores` is made from. */
export interface JudgeScore {
  judge: number;
  candidate: number;
  level: number;
  share?: number;
}

/**
 * A table of judges' scores from single rows, checked.
 *
 * @param rows one for each judge and candidate; places from 0; `level` in any unit, `share` 1 where it is not given. Their order does not matter.
 * @returns judges and candidates counted by the highest place; whom no row names has no score.
 * @throws RangeError for a pair that comes twice, a place that is no whole number of 0 or more, a level that is not finite, a share outside 0–1.
 *
 * @example
 * judgeScores([{ judge: 0, candidate: 0, level: 3 }, { judge: 1, candidate: 1, level: 2 }]).groups; // => [0, 1]
 */
export function judgeScores(rows: readonly JudgeScore[]): JudgeScores {
  const seen = new Set<string>();
  for (const { judge, candidate, level, share = 1 } of rows) {
    const pair = `${judge}/${candidate}`;
    if (seen.has(pair)) throw new RangeError(`judgeScores: judge/candidate ${pair} comes twice`);
    seen.add(pair);
    if (!isPlace(judge) || !isPlace(candidate))
      throw new RangeError(`judgeScores: ${pair} are not places in a list`);
    if (!Number.isFinite(level)) throw new RangeError(`judgeScores: ${level} is not a score`);
    if (!(share > 0 && share <= 1)) throw new RangeError(`judgeScores: ${share} is not a share`);
  }
  // One order for all, so that no last digit depends on who came first.
  const sorted = [...rows].sort((a, b) => a.candidate - b.candidate || a.judge - b.judge);
  const judge = Int32Array.from(sorted, (row) => row.judge);
  const candidate = Int32Array.from(sorted, (row) => row.candidate);
  const judges = sorted.reduce((most, row) => Math.max(most, row.judge + 1), 0);
  const candidates = sorted.reduce((most, row) => Math.max(most, row.candidate + 1), 0);
  return {
    judges,
    candidates,
    judge,
    candidate,
    level: Float64Array.from(sorted, (row) => row.level),
    share: Float64Array.from(sorted, (row) => row.share ?? 1),
    groups: judgeGroups({ levels: judges, codes: judge }, { levels: candidates, codes: candidate }),
  };
}

const isPlace = (value: number): boolean => Number.isInteger(value) && value >= 0;
