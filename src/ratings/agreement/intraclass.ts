import { fAbove } from "../statistics/distributions.ts";
import { fExceededBy } from "../statistics/quantiles.ts";
import { type MeanSquares, meanSquares } from "./mean-squares.ts";
import {
  completeRows,
  type PanelTable,
  type Reason,
  type Unsupported,
  whyNotComplete,
} from "./panel-table.ts";

export const iccForms = [
  "ICC(1,1)",
  "ICC(2,1)",
  "ICC(3,1)",
  "ICC(1,k)",
  "ICC(2,k)",
  "ICC(3,k)",
] as const;
export type IccForm = (typeof iccForms)[number];

/** One form; what the marks cannot support is null, and `reason` says why. */
export interface IccFigure {
  value: number | null;
  f: number | null;
  df1: number;
  df2: number;
  p: number | null;
  low: number | null;
  high: number | null;
  reason: Reason | null;
}
export interface Intraclass {
  /** Performances used (marked by every judge), judges, and performances left out because a judge did not mark them. */
  n: number;
  k: number;
  leftOut: number;
  meanSquares: MeanSquares;
  forms: Record<IccForm, IccFigure>;
}

/**
 * How much of the differences between marks is differences between performances: the six intraclass correlations.
 *
 * (1,·): each performance had judges of its own. (2,·): the judges are a sample, and their severity counts as error (absolute agreement).
 * (3,·): these judges only, and severity does not count (consistency). (·,1): one judge alone. (·,k): the mean of the k judges here.
 *
 * @param table performances × judges; performances that a judge did not mark are left out and counted.
 * @param level of the confidence intervals, 0–1.
 * @returns the forms with F test against 0 and interval; or why there are none (fewer than two judges or complete performances).
 *   All marks equal: value null. No error at all: value 1, F and interval null ("no-error-left"). Values below 0 are given as they come.
 * @throws RangeError for a mark that is not finite, or a level outside 0–1.
 *
 * Low when candidates are alike, however well the judges agree; and complete rows may be a biased choice. The interval of (2,·) uses
 * Satterthwaite's degrees of freedom; that of (2,k) is (2,1)'s, stepped up by Spearman–Brown.
 * Source: Shrout & Fleiss 1979, doi:10.1037/0033-2909.86.2.420; McGraw & Wong 1996, doi:10.1037/1082-989X.1.1.30.
 *
 * @example
 * const answer = intraclass([[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]);
 * "forms" in answer && answer.forms["ICC(2,1)"].value?.toFixed(2); // => "0.29"
 * intraclass([[3], [4]]); // => { reason: "one-judge" }
 */
export function intraclass(table: PanelTable, level = 0.95): Intraclass | Unsupported {
  if (!(level > 0 && level < 1)) throw new RangeError(`intraclass: level ${level}`);
  const { rows, leftOut } = completeRows(table);
  const reason = whyNotComplete(table, rows);
  if (reason) return { reason };
  const squares = meanSquares(rows);
  const tail = (1 - level) / 2;
  return {
    n: squares.n,
    k: squares.k,
    leftOut,
    meanSquares: squares,
    forms: {
      "ICC(1,1)": oneWay(squares, tail, false),
      "ICC(2,1)": agreement(squares, tail, false),
      "ICC(3,1)": consistency(squares, tail, false),
      "ICC(1,k)": oneWay(squares, tail, true),
      "ICC(2,k)": agreement(squares, tail, true),
      "ICC(3,k)": consistency(squares, tail, true),
    },
  };
}

/** Everything that is the same for all forms: the test, and what to say where F has no value. */
function figure(
  rows: number,
  error: number,
  [df1, df2]: readonly [number, number],
  value: number,
  interval: (f: number) => readonly [number, number],
): IccFigure {
  const none = { df1, df2, value: null, f: null, p: null, low: null, high: null };
  if (rows === 0 && error === 0) return { ...none, reason: "all-equal" };
  if (!Number.isFinite(value)) return { ...none, reason: "performances-equal" };
  if (error === 0) return { ...none, value, reason: "no-error-left" };
  const f = rows / error;
  const [low, high] = interval(f);
  const isSound = Number.isFinite(low) && Number.isFinite(high);
  return {
    value,
    f,
    df1,
    df2,
    p: fAbove(f, df1, df2),
    low: isSound ? low : null,
    high: isSound ? high : null,
    reason: isSound ? null : "no-interval",
  };
}

/** Interval from F and its two critical values: of one judge, or of the mean of k. */
const fromRatio = (ratio: number, k: number, isMean: boolean) =>
  isMean ? 1 - 1 / ratio : (ratio - 1) / (ratio + k - 1);

function oneWay({ n, k, rows, within }: MeanSquares, tail: number, isMean: boolean): IccFigure {
  const df = [n - 1, n * (k - 1)] as const;
  const value = (rows - within) / (isMean ? rows : rows + (k - 1) * within);
  return figure(rows, within, df, value, (f) => [
    fromRatio(f / fExceededBy(tail, df[0], df[1]), k, isMean),
    fromRatio(f * fExceededBy(tail, df[1], df[0]), k, isMean),
  ]);
}

function consistency({ n, k, rows, error }: MeanSquares, tail: number, isMean: boolean): IccFigure {
  const df = [n - 1, (n - 1) * (k - 1)] as const;
  const value = (rows - error) / (isMean ? rows : rows + (k - 1) * error);
  return figure(rows, error, df, value, (f) => [
    fromRatio(f / fExceededBy(tail, df[0], df[1]), k, isMean),
    fromRatio(f * fExceededBy(tail, df[1], df[0]), k, isMean),
  ]);
}

function agreement(squares: MeanSquares, tail: number, isMean: boolean): IccFigure {
  const { n, k, rows, judges, error } = squares;
  // A sum that is 0 but for rounding must not make a huge number.
  const over = (sum: number) =>
    Math.abs(sum) > 1e-12 * (rows + judges + error) ? (rows - error) / sum : Number.NaN;
  const one = over(rows + (k - 1) * error + (k * (judges - error)) / n);
  const mean = over(rows + (judges - error) / n);
  const df = [n - 1, (n - 1) * (k - 1)] as const;
  const found = figure(rows, error, df, isMean ? mean : one, () => {
    const ratio = judges / error;
    const rest = n * (1 + (k - 1) * one) - k * one;
    const df2 =
      ((k - 1) * (n - 1) * (k * one * ratio + rest) ** 2) /
      ((n - 1) * (k * one * ratio) ** 2 + rest ** 2);
    // Far below 0 the degrees of freedom vanish, or are 0/0: no interval can be had.
    const isVoid = Math.abs(k * one * ratio) + Math.abs(rest) < 1e-9;
    if (isVoid || !(df2 > 1e-9)) return [Number.NaN, Number.NaN];
    const [up, down] = [fExceededBy(tail, n - 1, df2), fExceededBy(tail, df2, n - 1)];
    const common = k * judges + (k * n - k - n) * error;
    const low = (n * (rows - up * error)) / (up * common + n * rows);
    const high = (n * (down * rows - error)) / (common + n * down * rows);
    // Spearman and Brown's step has a pole at -1/(k - 1), where a single judge's value can go no lower.
    const stepped = (r: number) => {
      const below = 1 + (k - 1) * r;
      return !isMean ? r : below > 1e-9 ? (k * r) / below : Number.NaN;
    };
    return [stepped(low), stepped(high)];
  });
  // Judges who keep their distance from each other leave no error, and yet do not agree: the value stands, without a test.
  return rows === 0 && error === 0 && judges > 0
    ? { ...found, value: 0, reason: "performances-equal" }
    : found;
}
