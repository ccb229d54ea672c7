import { solved } from "../../../src/ratings/statistics/solved.ts";

/** Columns of 0 and 1: which level each mark has. */
export const indicators = (codes: ArrayLike<number>, levels: number): number[][] =>
  Array.from({ length: levels }, (_, level) =>
    Array.from(codes, (code) => (code === level ? 1 : 0)),
  );

/**
 * -2 log restricted likelihood and average information by the textbook, with the marks' whole covariance V written out: for small panels only.
 * Source: Patterson & Thompson 1971, doi:10.1093/biomet/58.3.545; Gilmour, Thompson & Cullis 1995, doi:10.2307/2533274.
 */
export function denseLikelihood(
  marks: readonly number[],
  effects: readonly number[][][],
  variances: readonly number[],
  residual: number,
): { criterion: number; information: number[][] } {
  const n = marks.length;
  const square = (cell: (i: number, j: number) => number) =>
    marks.map((_, i) => marks.map((_, j) => cell(i, j)));
  const parts = [
    ...effects.map((columns) =>
      square((i, j) => columns.reduce((sum, z) => sum + (z[i] as number) * (z[j] as number), 0)),
    ),
    square((i, j) => (i === j ? 1 : 0)),
  ];
  const v = square((i, j) =>
    parts.reduce(
      (sum, part, k) => sum + (variances[k] ?? residual) * ((part[i] as number[])[j] as number),
      0,
    ),
  );
  const inverse = (right: readonly number[]) => {
    const answer = solved(v, right);
    if (!answer) throw new Error("denseLikelihood: the covariance cannot be inverted");
    return answer;
  };
  const ones = marks.map(() => 1);
  const dot = (a: readonly number[], b: readonly number[]) =>
    a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);
  const vOnes = inverse(ones);
  const share = dot(ones, vOnes);
  // P u, the intercept projected out.
  const projected = (u: readonly number[]) => {
    const vu = inverse(u);
    const mean = dot(ones, vu) / share;
    return vu.map((value, i) => value - mean * (vOnes[i] as number));
  };
  const py = projected(marks);
  const working = parts.map((part) => part.map((row) => dot(row, py)));
  const information = working.map((one) => {
    const p = projected(one);
    return working.map((other) => dot(other, p) / 2);
  });
  const criterion =
    (n - 1) * Math.log(2 * Math.PI) + logDeterminant(v) + Math.log(share) + dot(marks, py);
  return { criterion, information };
}

function logDeterminant(matrix: readonly (readonly number[])[]): number {
  const work = matrix.map((row) => [...row]);
  let sum = 0;
  for (const [k, pivotRow] of work.entries()) {
    const pivot = pivotRow[k] as number;
    sum += Math.log(pivot);
    for (const row of work.slice(k + 1)) {
      const factor = (row[k] as number) / pivot;
      row.forEach((value, j) => {
        row[j] = value - factor * (pivotRow[j] as number);
      });
    }
  }
  return sum;
}
