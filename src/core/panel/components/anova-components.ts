import { solved } from "../../statistics/solved.ts";
import type { Term } from "./term.ts";

export interface AnovaComponents {
  /** One for each term; they may come out below 0, and are left as they come. */
  variances: number[];
  residual: number;
}

/**
 * Variance components from sums of squares: each sum is set equal to what it would be on the average.
 *
 * @param marks any unit; variances are in its square. @param terms random effects, each with more than one level. Missing cells are allowed.
 * @returns `null` where the sums do not tell the effects apart (one effect has the same levels as another, or a level of its own for each mark).
 *
 * On complete tables these are the analysis-of-variance estimates of the textbooks. With missing cells they are unbiased but less precise than REML.
 * Source: Henderson 1953, method 1, doi:10.2307/3001853; Brennan 2001, Generalizability Theory, section 7.1 (analogous ANOVA).
 *
 * @example
 * // Shrout & Fleiss 1979: 6 candidates × 4 judges.
 * const marks = Float64Array.of(9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7);
 * const factor = (levels, level) => ({ levels, codes: Int32Array.from(marks, (_, i) => level(i)) });
 * const factors = new Map([["candidate", factor(6, (i) => i >> 2)], ["judge", factor(4, (i) => i % 4)]]);
 * const terms = [["candidate"], ["judge"]].map((names) => termOf(names, { marks, factors }));
 * anovaComponents(marks, terms)?.variances.map((one) => one.toFixed(4)); // => ["2.5556", "5.2444"]
 */
export function anovaComponents(
  marks: Float64Array,
  terms: readonly Term[],
): AnovaComponents | null {
  const n = marks.length;
  const mean = marks.reduce((sum, mark) => sum + mark, 0) / n;
  // Unknowns: each term, then the residual; equations: each term's sum of squares, then the total, all about the mean.
  const size = terms.length + 1;
  const inMean = terms.map((term) => term.counts.reduce((sum, c) => sum + c * c, 0) / n);
  const equations = Array.from({ length: size }, () => new Float64Array(size));
  const right = new Float64Array(size);
  let total = 0;
  for (const mark of marks) total += (mark - mean) ** 2;
  terms.forEach((term, k) => {
    const row = equations[k] as Float64Array;
    row[k] = (row[k] as number) + n;
    terms.slice(0, k).forEach((other, m) => {
      const [mine, others] = spreads(term, other);
      row[m] = (row[m] as number) + mine;
      (equations[m] as Float64Array)[k] = ((equations[m] as Float64Array)[k] as number) + others;
    });
    terms.forEach((_, m) => {
      row[m] = (row[m] as number) - (inMean[m] as number);
    });
    row[size - 1] = term.levels - 1;
    right[k] = between(marks, term, mean);
  });
  const last = equations[size - 1] as Float64Array;
  terms.forEach((_, m) => {
    last[m] = n - (inMean[m] as number);
  });
  last[size - 1] = n - 1;
  right[size - 1] = total;
  const answer = solved(equations, right);
  return answer && { variances: answer.slice(0, -1), residual: answer.at(-1) as number };
}

function between(marks: Float64Array, { codes, levels, counts }: Term, mean: number): number {
  const sums = new Float64Array(levels);
  for (let i = 0; i < marks.length; i++)
    sums[codes[i] as number] = (sums[codes[i] as number] as number) + (marks[i] as number) - mean;
  let squares = 0;
  for (let l = 0; l < levels; l++) squares += (sums[l] as number) ** 2 / (counts[l] as number);
  return squares;
}

/**
 * Over the levels of each of two terms: squared counts of the other's levels within it, as a share of its marks.
 * n when the other is coarser or the same.
 */
export function spreads(term: Term, other: Term): [number, number] {
  const size = term.levels * other.levels;
  const sums: [number, number] = [0, 0];
  const add = (count: number, level: number, otherLevel: number) => {
    sums[0] += (count * count) / (term.counts[level] as number);
    sums[1] += (count * count) / (other.counts[otherLevel] as number);
  };
  const [codes, others, width] = [term.codes, other.codes, other.levels];
  if (size <= 20_000_000) {
    const table = codes.length < 65_536 ? new Uint16Array(size) : new Uint32Array(size);
    for (let i = 0; i < codes.length; i++) {
      const place = (codes[i] as number) * width + (others[i] as number);
      table[place] = (table[place] as number) + 1;
    }
    for (let level = 0, place = 0; level < term.levels; level++)
      for (let m = 0; m < width; m++, place++)
        if (table[place] !== 0) add(table[place] as number, level, m);
    return sums;
  }
  const table = new Map<number, number>();
  for (let i = 0; i < codes.length; i++) {
    const place = (codes[i] as number) * width + (others[i] as number);
    table.set(place, (table.get(place) ?? 0) + 1);
  }
  for (const [place, count] of table) add(count, Math.floor(place / width), place % width);
  return sums;
}
