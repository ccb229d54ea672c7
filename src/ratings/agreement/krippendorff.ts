import { chanceFrom } from "../statistics/chance.ts";
import { percentile } from "../statistics/percentile.ts";
import { checkPanelTable, type PanelTable, type Unsupported } from "./panel-table.ts";

export const alphaMetrics = ["nominal", "ordinal", "interval", "ratio"] as const;
export type AlphaMetric = (typeof alphaMetrics)[number];

export interface Alpha {
  value: number;
  /** Marks that stand beside another mark of the same performance, and the performances that have two or more. */
  pairable: number;
  units: number;
}

/** A performance: which values it got, and how often each. */
interface Unit {
  /** Places in the sorted list of all values. */
  values: Int32Array;
  counts: Int32Array;
  marks: number;
}
interface Prepared {
  values: number[];
  units: Unit[];
  pairable: number;
}

function prepared(table: PanelTable): Prepared {
  checkPanelTable("krippendorff", table);
  const shared = table
    .map((row) => row.filter((mark) => mark !== null).sort((a, b) => a - b))
    .filter((marks) => marks.length >= 2);
  const values = [...new Set(shared.flat())].sort((a, b) => a - b);
  const placeOf = new Map(values.map((value, place) => [value, place]));
  const units = shared.map((marks): Unit => {
    const distinct = [...new Set(marks)];
    return {
      values: Int32Array.from(distinct, (value) => placeOf.get(value) ?? 0),
      counts: Int32Array.from(distinct, (value) => marks.filter((mark) => mark === value).length),
      marks: marks.length,
    };
  });
  return { values, units, pairable: shared.reduce((sum, marks) => sum + marks.length, 0) };
}

/** Squared distance of two values. Ordinal counts the marks between them, with half of those at either end. */
function distance(metric: AlphaMetric, values: readonly number[], below: Float64Array) {
  return (a: number, b: number): number => {
    const [x, y] = [values[a] as number, values[b] as number];
    if (a === b) return 0;
    if (metric === "nominal") return 1;
    if (metric === "interval") return (x - y) ** 2;
    if (metric === "ratio") return ((x - y) / (x + y)) ** 2;
    const middle = (place: number) => ((below[place] as number) + (below[place + 1] as number)) / 2;
    return (middle(a) - middle(b)) ** 2;
  };
}

/** Alpha of these units; null when all their marks are the same value. */
function alphaOf(values: readonly number[], units: readonly Unit[], metric: AlphaMetric) {
  const margins = new Float64Array(values.length);
  for (const { values: places, counts } of units)
    for (let i = 0; i < places.length; i++)
      margins[places[i] as number] =
        (margins[places[i] as number] as number) + (counts[i] as number);
  const below = new Float64Array(values.length + 1);
  for (let place = 0; place < values.length; place++)
    below[place + 1] = (below[place] as number) + (margins[place] as number);
  const apart = distance(metric, values, below);

  let observed = 0;
  for (const { values: places, counts, marks } of units) {
    let here = 0;
    for (let i = 1; i < places.length; i++)
      for (let j = 0; j < i; j++)
        here +=
          (counts[i] as number) *
          (counts[j] as number) *
          apart(places[i] as number, places[j] as number);
    observed += here / (marks - 1);
  }
  let expected = 0;
  for (let i = 1; i < values.length; i++)
    for (let j = 0; j < i; j++)
      expected += (margins[i] as number) * (margins[j] as number) * apart(i, j);
  const total = below[values.length] as number;
  return expected > 0 ? 1 - ((total - 1) * observed) / expected : null;
}

/**
 * How far a panel agrees beyond chance, whoever marked what: 1 perfect, 0 as if marks were dealt out at random, below 0 systematic quarrel.
 *
 * @param table performances × judges with nulls. A performance with fewer than two marks carries no pair and does not enter.
 * @param metric how far apart two marks are: nominal (same or not), ordinal (ranks), interval (levels), ratio (share of their size).
 * @returns alpha; or why there is none: no pair of marks, all marks equal, marks below 0 with ratio.
 * @throws RangeError for a mark that is not finite, or rows of different length.
 *
 * Low when nearly all marks are the same level, even where judges seldom differ.
 * Source: Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, sections C and D; Hayes & Krippendorff 2007, doi:10.1080/19312450709336664.
 *
 * @example
 * krippendorff([[1, 1], [2, 2], [3, 3]], "interval"); // => { value: 1, pairable: 6, units: 3 }
 * krippendorff([[1, null], [null, 2]], "nominal"); // => { reason: "no-shared-performances" }
 */
export function krippendorff(table: PanelTable, metric: AlphaMetric): Alpha | Unsupported {
  const { values, units, pairable } = prepared(table);
  const reason = whyNoAlpha(table, values, units, metric);
  if (reason) return { reason };
  const value = alphaOf(values, units, metric);
  return value === null ? { reason: "all-equal" } : { value, pairable, units: units.length };
}

function whyNoAlpha(
  table: PanelTable,
  values: readonly number[],
  units: readonly Unit[],
  metric: AlphaMetric,
) {
  if (!table.some((row) => row.some((mark) => mark !== null))) return "no-marks";
  if ((table[0]?.length ?? 0) < 2) return "one-judge";
  if (units.length === 0) return "no-shared-performances";
  if (values.length < 2) return "all-equal";
  return metric === "ratio" && (values[0] as number) < 0 ? "negative-marks" : null;
}

/**
 * Between which values alpha lies, by drawing performances again and again with replacement.
 *
 * @param seed of the drawing: the same seed, the same interval. @param draws at least 100. @param level 0–1.
 * @returns percentiles of the draws in which alpha exists; or why there is none, as `krippendorff`.
 * @throws RangeError as `krippendorff`, or for fewer than 100 draws.
 *
 * Too narrow under about 20 performances, like every such interval; and it takes the judges as given.
 * Source: Efron & Tibshirani 1993, An Introduction to the Bootstrap, chapter 13 (percentile interval), over units.
 *
 * @example
 * alphaInterval([[1, 1], [2, 2], [3, 3]], "interval", { seed: 1, draws: 100 }); // => { low: 1, high: 1, level: 0.95 }
 */
export function alphaInterval(
  table: PanelTable,
  metric: AlphaMetric,
  { seed, draws = 1000, level = 0.95 }: { seed: number; draws?: number; level?: number },
): { low: number; high: number; level: number } | Unsupported {
  if (!(draws >= 100)) throw new RangeError(`alphaInterval: ${draws} draws are too few`);
  const { values, units } = prepared(table);
  const reason = whyNoAlpha(table, values, units, metric);
  if (reason) return { reason };
  // Sorted, so that the interval does not depend on the order of the candidates.
  const ordered = units
    .map((unit) => ({ unit, key: `${unit.values.join()}/${unit.counts.join()}` }))
    .sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : 0))
    .map(({ unit }) => unit);
  const chance = chanceFrom(seed);
  const found: number[] = [];
  for (let draw = 0; draw < draws; draw++) {
    const drawn = ordered.map(() => ordered[Math.floor(chance() * ordered.length)] as Unit);
    const value = alphaOf(values, drawn, metric);
    if (value !== null) found.push(value);
  }
  if (found.length < draws / 2) return { reason: "all-equal" };
  found.sort((a, b) => a - b);
  const tail = (1 - level) / 2;
  return { low: percentile(found, tail), high: percentile(found, 1 - tail), level };
}
