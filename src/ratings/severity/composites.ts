import { judgeGroups } from "../components/connected.ts";
import type { JudgeScores } from "./judge-scores.ts";

/** Marks as columns, one place for each mark, sorted by candidate and judge; everything by places in lists. */
export interface MarkedCells {
  judges: number;
  candidates: number;
  candidate: Int32Array;
  judge: Int32Array;
  cell: Int32Array;
  /** In levels. */
  level: Float64Array;
  /** What each cell (of any rubric) weighs in its candidate's whole score: those of one rubric add up to 1. */
  weights: Float64Array;
}

/** Rounds of parting a mark into candidate, judge and cell: enough for the third digit of a level where panels overlap at all. */
const ROUNDS = 8;

/**
 * Each judge's score of each candidate: the weighted mean of the marks, as the rubric weighs them.
 *
 * Where judges of one candidate saw other cells, hard cells would look like severe judges: there what is hard about each cell is taken out first
 * (marks parted into candidate, judge and cell by least squares). Judges who never marked the same cell of the same candidate are not compared:
 * a panel that splits the criteria among its judges falls into groups.
 *
 * @param marks in any number; no judge marks a cell of a candidate twice. @returns a row for each judge and candidate with marks.
 * @throws RangeError for a level that is not finite, marks that are not sorted, or a cell marked twice by one judge.
 *
 * Source: additive parting of incomplete tables: Healy & Westmacott 1956, doi:10.2307/2985421 (cyclic fitting).
 *
 * @example
 * const marks = { judges: 2, candidates: 1, candidate: Int32Array.of(0, 0, 0, 0), judge: Int32Array.of(0, 0, 1, 1), cell: Int32Array.of(0, 1, 0, 1), level: Float64Array.of(3, 4, 2, 2), weights: Float64Array.of(0.75, 0.25) };
 * [...composites(marks).level]; // => [3.25, 2]
 */
export function composites(marks: MarkedCells): JudgeScores {
  const { judges, candidates, candidate, judge, cell, level, weights } = marks;
  const pairs = pairsOf(marks);
  const cells = weights.length;
  const hardness = isEverythingShared(marks, pairs) ? null : hardnessOf(marks);
  const size = pairs.first.length - 1;
  const scores: JudgeScores = {
    judges,
    candidates,
    judge: new Int32Array(size),
    candidate: new Int32Array(size),
    level: new Float64Array(size),
    share: new Float64Array(size),
    groups: judgeGroups(
      { levels: judges, codes: judge },
      {
        levels: candidates * cells,
        codes: candidate.map((who, i) => who * cells + (cell[i] as number)),
      },
    ),
  };
  for (let pair = 0; pair < size; pair++) {
    const [from, to] = [pairs.first[pair] as number, pairs.first[pair + 1] as number];
    let [sum, seen] = [0, 0];
    for (let i = from; i < to; i++) {
      const place = cell[i] as number;
      const weight = weights[place] as number;
      seen += weight;
      sum += weight * ((level[i] as number) - (hardness ? (hardness[place] as number) : 0));
    }
    scores.judge[pair] = judge[from] as number;
    scores.candidate[pair] = candidate[from] as number;
    scores.level[pair] = sum / seen;
    scores.share[pair] = Math.min(1, seen);
  }
  return scores;
}

/** Where each pair of judge and candidate begins. */
function pairsOf({ candidate, judge, cell, level }: MarkedCells): { first: number[] } {
  const first: number[] = [];
  const seen = new Map<number, number>();
  for (let i = 0; i < level.length; i++) {
    if (!Number.isFinite(level[i])) throw new RangeError(`composites: ${level[i]} is not a level`);
    const isNew = i === 0 || candidate[i] !== candidate[i - 1] || judge[i] !== judge[i - 1];
    if (isNew) {
      const isAfter =
        i === 0 ||
        (candidate[i] as number) > (candidate[i - 1] as number) ||
        (candidate[i] === candidate[i - 1] && (judge[i] as number) > (judge[i - 1] as number));
      if (!isAfter) throw new RangeError("composites: marks are not sorted by candidate and judge");
      first.push(i);
    }
    if (seen.get(cell[i] as number) === first.length)
      throw new RangeError(`composites: cell ${cell[i]} is marked twice by one judge`);
    seen.set(cell[i] as number, first.length);
  }
  first.push(level.length);
  return { first };
}

/** Whether all judges of each candidate saw the same cells: then hard cells are hard for all alike. */
function isEverythingShared(
  { candidate, cell }: MarkedCells,
  { first }: { first: number[] },
): boolean {
  let from = 0;
  for (let pair = 1; pair < first.length; pair++) {
    const start = first[pair] as number;
    const isLastOfCandidate =
      pair === first.length - 1 || candidate[start] !== candidate[start - 1];
    if (!isLastOfCandidate) continue;
    const begins = first.slice(from, pair + 1);
    const sizes = begins.slice(1).map((end, at) => end - (begins[at] as number));
    const all = new Set(cell.subarray(begins[0], start));
    if (sizes.some((size) => size !== all.size)) return false;
    from = pair;
  }
  return true;
}

/** How much higher than the rest each cell is marked, in levels, candidates and judges taken out. */
function hardnessOf({
  judges,
  candidates,
  candidate,
  judge,
  cell,
  level,
  weights,
}: MarkedCells): Float64Array {
  const effects = [
    { codes: candidate, values: new Float64Array(candidates) },
    { codes: cell, values: new Float64Array(weights.length) },
    { codes: judge, values: new Float64Array(judges) },
  ];
  const left = level.slice();
  for (let round = 0; round < ROUNDS; round++)
    for (const { codes, values } of effects) {
      const sums = new Float64Array(values.length);
      const counts = new Float64Array(values.length);
      for (let i = 0; i < left.length; i++) {
        const at = codes[i] as number;
        sums[at] = (sums[at] as number) + (left[i] as number);
        counts[at] = (counts[at] as number) + 1;
      }
      for (let at = 0; at < sums.length; at++) {
        const step = counts[at] ? (sums[at] as number) / (counts[at] as number) : 0;
        sums[at] = step;
        values[at] = (values[at] as number) + step;
      }
      for (let i = 0; i < left.length; i++)
        left[i] = (left[i] as number) - (sums[codes[i] as number] as number);
    }
  return effects[1]?.values as Float64Array;
}
