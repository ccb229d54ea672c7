import { solved } from "../statistics/solved.ts";
import { absorbed, type Effects, type Ridge } from "./absorbed.ts";
import { anovaOf } from "./anova-components.ts";
import { crossProducts } from "./cross-products.ts";
import { rowsOfTerms } from "./effect-rows.ts";
import { halfSolved, solvedFrom } from "./half-solved.ts";
import { inverseDiagonal } from "./inverse-diagonal.ts";
import { layoutOf } from "./layout.ts";
import { type MarkColumns, type Term, termOf } from "./term.ts";

export interface RemlFit {
  /** Variance and standard error of each random effect, by name; se is null where the variance is 0. */
  components: { name: string; variance: number; se: number | null }[];
  residual: { variance: number; se: number };
  /** -2 log restricted likelihood, constants included. */
  criterion: number;
  /** Best linear unbiased predictions of each random effect, by level in `codes` of its term. */
  effects: { term: Term; values: Float64Array }[];
  /** Their standard errors of prediction, computed when asked for. */
  effectErrors: () => Float64Array[];
  /** Fixed effects' levels against their first level, which is 0. */
  fixed: { term: Term; values: Float64Array }[];
  /** The intercept plus any weighted levels of fixed effects, with the standard error of that sum (the random effects' draw included). */
  estimate: (weights: readonly FixedWeight[]) => { value: number; se: number };
  marks: number;
  rounds: number;
}
export interface FixedWeight {
  term: string;
  level: number;
  weight: number;
}
export interface NoFit {
  reason:
    | "no-marks"
    | "one-level"
    | "level-for-each-mark"
    | "same-levels"
    | "all-equal"
    | "no-error-left"
    | "not-settled";
  /** The effects it is about. */
  terms: string[];
}

/** A variance this share of the residual's counts as 0. */
const FLOOR = 1e-8;
const ROUNDS = 60;
/** A step that promises less than this in log likelihood is the last: about a thousandth of a standard error. */
const SETTLED = 1e-6;

/**
 * Which part of the differences between marks comes from candidates, judges, items, criteria and their interactions: restricted maximum likelihood.
 *
 * @param columns the marks, any unit; variances are in its square. Any cells may be missing.
 * @param random effects, each one factor or several together. @param fixed effects that are estimated as they are.
 * @returns variances (never below 0) with standard errors from the average information, predictions, and the criterion;
 *   or why there is no fit, and which effects to leave out.
 * @throws RangeError for a mark that is not finite, no random effect, or an unknown factor.
 *
 * With few levels (three judges) a variance is hardly known, whatever its standard error says; on marks of few levels the normal model is an approximation.
 * Source: Patterson & Thompson 1971, doi:10.1093/biomet/58.3.545; Gilmour, Thompson & Cullis 1995 (average information), doi:10.2307/2533274.
 *
 * @example
 * // Shrout & Fleiss 1979: 6 candidates × 4 judges.
 * const marks = Float64Array.of(9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7);
 * const factor = (levels, level) => ({ levels, codes: Int32Array.from(marks, (_, i) => level(i)) });
 * const factors = new Map([["candidate", factor(6, (i) => i >> 2)], ["judge", factor(4, (i) => i % 4)]]);
 * const fit = reml({ marks, factors }, [["candidate"], ["judge"]], []);
 * fit.components.map(({ variance }) => variance.toFixed(3)); // => ["2.556", "5.244"]
 */
export function reml(
  columns: MarkColumns,
  random: readonly (readonly string[])[],
  fixed: readonly (readonly string[])[],
): RemlFit | NoFit {
  const { marks } = columns;
  if (random.length === 0) throw new RangeError("reml: no random effect");
  for (let i = 0; i < marks.length; i++)
    if (!Number.isFinite(marks[i])) throw new RangeError(`reml: ${marks[i]} is not a finite mark`);
  if (marks.length === 0) return { reason: "no-marks", terms: [] };
  const terms = random.map((names) => termOf(names, columns));
  const fixedTerms = fixed.map((names) => termOf(names, columns));
  const refused = whyNoFit(marks, terms);
  if (refused) return refused;
  return fitted(marks, terms, fixedTerms);
}

function whyNoFit(marks: Float64Array, terms: readonly Term[]): NoFit | null {
  const n = marks.length;
  if (marks.every((mark) => mark === marks[0])) return { reason: "all-equal", terms: [] };
  for (const term of terms) {
    if (term.levels < 2) return { reason: "one-level", terms: [term.name] };
    if (term.levels >= n) return { reason: "level-for-each-mark", terms: [term.name] };
  }
  // Numbered by first appearance, so that the same levels have the same numbers.
  for (const [i, term] of terms.entries())
    for (const other of terms.slice(0, i))
      if (term.levels === other.levels && term.codes.every((code, m) => code === other.codes[m]))
        return { reason: "same-levels", terms: [other.name, term.name] };
  return null;
}

function fitted(
  marks: Float64Array,
  terms: readonly Term[],
  fixedTerms: readonly Term[],
): RemlFit | NoFit {
  const layout = layoutOf(terms, fixedTerms);
  const data = crossProducts(marks, layout);
  const { n, squares } = data;
  const b = layout.borderRows;
  const rows = rowsOfTerms(layout, terms);
  const total = squares / (n - 1);
  const floorOf = (residual: number) => FLOOR * residual;

  // Begin at the analysis of variance, pushed inside.
  const guess = anovaOf(data, layout, terms);
  const start = guess
    ? [...guess.variances, guess.residual].map((v) => Math.max(v, 0.01 * total))
    : [...terms.map(() => total / (terms.length + 1)), total / (terms.length + 1)];

  const K = terms.length;
  const evaluated = (variances: readonly number[]) => {
    const residual = variances[K] as number;
    const lambda = terms.map((_, k) => residual / (variances[k] as number));
    const ridge: Ridge = {
      first: 0,
      inner: new Float64Array(layout.innerRows),
      border: new Float64Array(b),
    };
    rows.forEach((row, k) => {
      if (row.part === "first") ridge.first = lambda[k] as number;
      else for (const place of row.places) ridge[row.part][place] = lambda[k] as number;
    });
    const parts = absorbed(data, layout, ridge);
    const half = halfSolved(parts, data, layout, data.sums);
    const x = solvedFrom(half, parts, data, layout);
    const rank = b - layout.fixedStart - parts.dropped.length;
    let logRidge = 0;
    const sumSquares = rows.map((row, k) => {
      logRidge += (terms[k] as Term).levels * Math.log(lambda[k] as number);
      let sum = 0;
      for (const place of row.places) sum += (x[row.part][place] as number) ** 2;
      return sum;
    });
    const penalised = squares - dot(data.sums, x);
    const criterion =
      (n - rank) * Math.log(2 * Math.PI * residual) +
      2 * parts.halfLogDeterminant -
      logRidge +
      penalised / residual;
    return { variances, residual, lambda, parts, x, rank, sumSquares, penalised, criterion };
  };

  const slopes = (at: ReturnType<typeof evaluated>) => {
    const { variances, residual, lambda, parts, x, rank, sumSquares, penalised } = at;
    const diagonal = inverseDiagonal(parts, data, layout);
    const least: number[] = [];
    let freedom = n - rank;
    let shrunk = 0;
    const gradient = rows.map((row, k) => {
      const [l, v, q] = [lambda[k] as number, variances[k] as number, (terms[k] as Term).levels];
      let trace = 0;
      for (const place of row.places) trace += diagonal[row.part][place] as number;
      const used = q - l * trace;
      freedom -= used;
      least.push((0.5 * (used / v) ** 2) / q);
      shrunk += l * (sumSquares[k] as number);
      return -0.5 * (used / v - (sumSquares[k] as number) / (v * v));
    });
    least.push((0.5 * (freedom / residual) ** 2) / n);
    const errorSquares = penalised - shrunk;
    gradient.push(-0.5 * (freedom / residual - errorSquares / (residual * residual)));

    // Average information: ½ u' P u / residual over working variates u, those of the terms Z û / variance and that of the error ê / residual.
    // All of it follows from m = û C⁻¹ û', term by term, because W'W = C - Λ and W'ê = Λ û: no pass over the marks, half a solution for each term.
    const halves = rows.map((_, k) => halfSolved(parts, data, layout, onlyTerm(x, rows, k)));
    const m = halves.map((one, i) =>
      halves.map((other, j) => (lambda[i] as number) * (lambda[j] as number) * dot(one, other)),
    );
    const withError = m.map((row) => row.reduce((sum, value) => sum + value, 0));
    const scales = [...variances.slice(0, K), residual];
    const own = (i: number, j: number): number => {
      if (i === K && j === K)
        return errorSquares - withError.reduce((sum, value) => sum + value, 0);
      if (i === K || j === K) return withError[Math.min(i, j)] as number;
      const seen = i === j ? (lambda[i] as number) * (sumSquares[i] as number) : 0;
      return seen - (m[i]?.[j] as number);
    };
    const information = scales.map((one, i) =>
      scales.map((other, j) => (0.5 * own(i, j)) / (one * other * residual)),
    );
    return { gradient, information, least };
  };

  /** The whole step, or as much of it as goes uphill. */
  const shortened = (from: ReturnType<typeof evaluated>, step: readonly number[]) => {
    let next = from;
    for (let share = 1; share > 1e-9; share /= 2) {
      next = evaluated(inside(from.variances, step, share, total));
      if (next.criterion <= from.criterion + 1e-9) break;
    }
    return next;
  };

  /**
   * Effects that, hardly shrunk, leave nothing of the marks: no error can be told from them, and where a search would end depends on
   * where it was rounded. What is left then is of the ridge's size, a tenth of this bound.
   */
  const leavesNothing = ({ lambda, sumSquares, penalised }: ReturnType<typeof evaluated>) => {
    const bound = 1e-6 * total * terms.reduce((sum, term) => sum + term.levels, 0);
    // Mostly it need not be tried: by Cauchy and Schwarz at least (ê'y)² / (ê'ê + |W'ê|² / ridge) is left, with the errors ê of any fit; W'ê = Λ û, ê'y = penalised.
    let squared = 0;
    let errors = penalised;
    lambda.forEach((l, k) => {
      squared += l * l * (sumSquares[k] as number);
      errors -= l * (sumSquares[k] as number);
    });
    if (penalised ** 2 > 10 * bound * (errors + squared / 1e-7)) return false;
    return evaluated([...terms.map(() => total), 1e-7 * total]).penalised <= bound;
  };

  let here = evaluated(start);
  if (leavesNothing(here)) return { reason: "no-error-left", terms: [] };

  let round = 0;
  let near = slopes(here);
  for (; round < ROUNDS; round++) {
    const floor = floorOf(here.residual);
    const isFree = here.variances.map(
      (v, k) => k === K || v > 2 * floor || (near.gradient[k] as number) > 0,
    );
    const step = stepFrom(near, isFree);
    let gain = 0;
    step.forEach((by, k) => {
      gain += by * (near.gradient[k] as number);
    });
    if (gain < 1e-12) break;
    const next = shortened(here, step);
    const gained = here.criterion - next.criterion;
    here = next;
    // What is left after so small a step is its square: no need for the slopes there.
    if (gain < SETTLED || Math.abs(gained) < 1e-10) break;
    near = slopes(here);
  }
  // A residual on its way to nothing never settles.
  if (here.residual <= 1e-6 * total) return { reason: "no-error-left", terms: [] };
  if (round === ROUNDS) return { reason: "not-settled", terms: terms.map(({ name }) => name) };
  return report(here, near);

  function report(
    at: ReturnType<typeof evaluated>,
    { information }: ReturnType<typeof slopes>,
  ): RemlFit {
    const isZero = at.variances.map((v, k) => k < K && v <= 2 * floorOf(at.residual));
    const se = standardErrors(information, isZero);
    const intercept = layout.fixedStart;
    return {
      components: terms.map(({ name }, k) => ({
        name,
        variance: isZero[k] ? 0 : (at.variances[k] as number),
        se: se[k] ?? null,
      })),
      residual: { variance: at.residual, se: se[K] ?? 0 },
      criterion: at.criterion,
      effects: terms.map((term, k) => {
        const { part, places } = rows[k] as (typeof rows)[number];
        const value = (place: number) => (isZero[k] ? 0 : (at.x[part][place] as number));
        return { term, values: Float64Array.from(places, value) };
      }),
      effectErrors: () => {
        const diagonal = inverseDiagonal(at.parts, data, layout);
        return rows.map(({ part, places }, k) =>
          Float64Array.from(places, (place) =>
            isZero[k]
              ? 0
              : Math.sqrt(
                  at.residual * Math.max(0, (diagonal[part] as Float64Array)[place] as number),
                ),
          ),
        );
      },
      fixed: layout.border
        .filter(({ isFixed }) => isFixed)
        .map(({ term, start: place }) => ({
          term,
          values: Float64Array.from({ length: term.levels }, (_, l) =>
            l === 0 ? 0 : (at.x.border[place + l] as number),
          ),
        })),
      estimate: (weights) => {
        const right = emptyLike(at.x);
        right.border[intercept] = 1;
        for (const { term, level, weight } of weights) {
          const part = layout.border.find((one) => one.isFixed && one.term.name === term);
          if (!part) throw new RangeError(`reml: ${term} is no fixed effect`);
          const place = part.start + level;
          if (level > 0) right.border[place] = (right.border[place] as number) + weight;
        }
        const half = halfSolved(at.parts, data, layout, right);
        const variance = at.residual * dot(half, half);
        return {
          value: data.mean + dot(right, at.x),
          se: Math.sqrt(Math.max(0, variance)),
        };
      },
      marks: n,
      rounds: round,
    };
  }
}

/**
 * One step of average information. Where the marks leave that without a direction (a factor whose levels all come out equal),
 * the least that the expected information can be is added: tr(P Z Z')² / levels, by Cauchy and Schwarz.
 */
function stepFrom({ gradient, information, least }: Slopes, isFree: readonly boolean[]): number[] {
  const free = [...gradient.keys()].filter((k) => isFree[k]);
  const right = free.map((k) => gradient[k] as number);
  const matrix = (added: number) =>
    free.map((i) =>
      free.map(
        (j) =>
          ((information[i] as number[])[j] as number) +
          (i === j ? added * (least[i] as number) : 0),
      ),
    );
  for (const added of [0, 1]) {
    const step = solved(matrix(added), right);
    // Uphill it must go, or shortening it would never end.
    if (step && step.reduce((sum, by, i) => sum + by * (right[i] as number), 0) >= 0) {
      const full = gradient.map(() => 0);
      free.forEach((k, i) => {
        full[k] = step[i] as number;
      });
      return full;
    }
  }
  return gradient.map((slope, k) => (isFree[k] && least[k] ? slope / (least[k] as number) : 0));
}

interface Slopes {
  gradient: number[];
  information: number[][];
  least: number[];
}

/** The step, cut off where a variance would fall below its floor. */
function inside(
  from: readonly number[],
  step: readonly number[],
  share: number,
  total: number,
): number[] {
  const last = from.length - 1;
  const residual = Math.max(
    (from[last] as number) + share * (step[last] as number),
    0.2 * (from[last] as number),
    1e-10 * total,
  );
  return from.map((v, k) =>
    k === last ? residual : Math.max(v + share * (step[k] as number), FLOOR * residual),
  );
}

function standardErrors(
  information: readonly number[][],
  isZero: readonly boolean[],
): (number | null)[] {
  const free = [...isZero.keys()].filter((k) => !isZero[k]);
  const matrix = free.map((i) => free.map((j) => (information[i] as number[])[j] as number));
  return isZero.map((zero, k) => {
    if (zero) return null;
    const place = free.indexOf(k);
    const column = solved(
      matrix,
      free.map((_, i) => (i === place ? 1 : 0)),
    );
    const variance = column?.[place] ?? 0;
    return variance > 0 ? Math.sqrt(variance) : null;
  });
}

const emptyLike = (x: Effects): Effects => ({
  first: new Float64Array(x.first.length),
  inner: new Float64Array(x.inner.length),
  border: new Float64Array(x.border.length),
});

function onlyTerm(x: Effects, rows: ReturnType<typeof rowsOfTerms>, k: number): Effects {
  const only = emptyLike(x);
  const { part, places } = rows[k] as (typeof rows)[number];
  for (const place of places) only[part][place] = x[part][place] as number;
  return only;
}

function dot(a: Effects, b: Effects): number {
  let sum = 0;
  for (const part of ["first", "inner", "border"] as const) {
    const [left, right] = [a[part], b[part]];
    for (let i = 0; i < left.length; i++) sum += (left[i] as number) * (right[i] as number);
  }
  return sum;
}
