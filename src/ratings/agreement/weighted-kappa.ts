import { normalAbove } from "../statistics/distributions.ts";
import type { Unsupported } from "./panel-table.ts";

/** How two judges' categories meet: `counts[i][j]` performances where the first said `categories[i]` and the second `categories[j]`. */
export interface CrossTable {
  categories: readonly number[];
  counts: readonly (readonly number[])[];
}

/** Linear: as wrong as levels apart. Quadratic: as their square. Unweighted: all differences alike. Or how wrong each pair is, 0 on the diagonal. */
export type KappaWeights = "unweighted" | "linear" | "quadratic" | readonly (readonly number[])[];

export interface WeightedKappa {
  kappa: number;
  /** Against no agreement beyond chance; p is two-sided. null where that has no spread. */
  z: number | null;
  p: number | null;
  seNull: number | null;
  n: number;
}

/**
 * The cross table of two judges over the performances both marked.
 * @throws RangeError for a mark that is not finite, or lists of different length.
 * @example
 * crossTable([1, 2, 2], [1, 2, null]); // => { categories: [1, 2], counts: [[1, 0], [0, 1]] }
 */
export function crossTable(
  first: readonly (number | null)[],
  second: readonly (number | null)[],
): CrossTable {
  if (first.length !== second.length) throw new RangeError("crossTable: lists differ in length");
  const pairs = first.flatMap((a, i) => {
    const b = second[i] ?? null;
    return a === null || b === null ? [] : [[a, b] as const];
  });
  const wrong = pairs.flat().find((mark) => !Number.isFinite(mark));
  if (wrong !== undefined) throw new RangeError(`crossTable: ${wrong} is not a finite mark`);
  const categories = [...new Set(pairs.flat())].sort((a, b) => a - b);
  const placeOf = new Map(categories.map((category, place) => [category, place]));
  const counts = categories.map(() => new Array<number>(categories.length).fill(0));
  for (const [a, b] of pairs) {
    const row = counts[placeOf.get(a) ?? 0] as number[];
    const place = placeOf.get(b) ?? 0;
    row[place] = (row[place] as number) + 1;
  }
  return { categories, counts };
}

/**
 * How far two judges agree beyond chance, when being one level off is less wrong than being three off.
 *
 * @param table counts, or shares of 1 when `n` says of how many performances. Distances are those of the categories' values, so a level nobody used still counts.
 * @returns kappa with its test; or why there is none: nothing marked by both ("no-shared-performances"), one category only ("all-equal").
 * @throws RangeError for counts below 0, a table that is not square, or weights that do not fit it.
 *
 * Quadratic weights let rare large gaps outweigh many small ones; and all kappas are low when nearly all marks are the same.
 * Source: Cohen 1968, doi:10.1037/h0026256; standard error: Fleiss, Cohen & Everitt 1969, doi:10.1037/h0028106.
 *
 * @example
 * const both = crossTable([1, 2, 3, 3], [1, 2, 3, 2]);
 * const answer = weightedKappa(both, "linear");
 * "kappa" in answer && answer.kappa.toFixed(4); // => "0.7143"
 */
export function weightedKappa(
  { categories, counts }: CrossTable,
  weights: KappaWeights,
  n?: number,
): WeightedKappa | Unsupported {
  const size = categories.length;
  if (counts.length !== size || counts.some((row) => row.length !== size))
    throw new RangeError("weightedKappa: the table is not square");
  if (counts.flat().some((count) => !(count >= 0 && count < Infinity)))
    throw new RangeError("weightedKappa: a count is below 0, or no number");
  const total = counts.flat().reduce((sum, count) => sum + count, 0);
  if (total === 0) return { reason: "no-shared-performances" };
  const wrong = wrongness(categories, weights);
  const rows = counts.map((row) => row.reduce((sum, count) => sum + count, 0) / total);
  const columns = categories.map(
    (_, j) => counts.reduce((sum, row) => sum + (row[j] as number), 0) / total,
  );
  let [observed, expected, squared] = [0, 0, 0];
  const over = (visit: (i: number, j: number) => void) => {
    for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) visit(i, j);
  };
  over((i, j) => {
    const w = wrong(i, j);
    const both = (rows[i] as number) * (columns[j] as number);
    observed += (w * ((counts[i] as number[])[j] as number)) / total;
    expected += w * both;
  });
  if (expected <= 0) return { reason: "all-equal" };
  const rowMean = categories.map((_, i) =>
    categories.reduce((sum, _name, j) => sum + (columns[j] as number) * wrong(i, j), 0),
  );
  const columnMean = categories.map((_, j) =>
    categories.reduce((sum, _name, i) => sum + (rows[i] as number) * wrong(i, j), 0),
  );
  over((i, j) => {
    const both = (rows[i] as number) * (columns[j] as number);
    squared += both * (wrong(i, j) - (rowMean[i] as number) - (columnMean[j] as number)) ** 2;
  });
  const kappa = 1 - observed / expected;
  const variance = (squared - expected ** 2) / ((n ?? total) * expected ** 2);
  const seNull = variance > 1e-18 ? Math.sqrt(variance) : null;
  const z = seNull === null ? null : kappa / seNull;
  return { kappa, z, p: z === null ? null : 2 * normalAbove(Math.abs(z)), seNull, n: n ?? total };
}

function wrongness(categories: readonly number[], weights: KappaWeights) {
  const size = categories.length;
  const far = (categories[size - 1] as number) - (categories[0] as number) || 1;
  if (typeof weights === "string")
    return (i: number, j: number): number => {
      const apart = Math.abs((categories[i] as number) - (categories[j] as number)) / far;
      if (weights === "unweighted") return i === j ? 0 : 1;
      return weights === "linear" ? apart : apart ** 2;
    };
  const fits = weights.length === size && weights.every((row) => row.length === size);
  if (!fits || weights.flat().some((weight) => !(weight >= 0 && weight < Infinity)))
    throw new RangeError("weightedKappa: the weights do not fit the table");
  return (i: number, j: number): number => (weights[i] as readonly number[])[j] as number;
}
