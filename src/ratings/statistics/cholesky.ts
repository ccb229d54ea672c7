import { rowDot } from "./row-dot.ts";

/**
 * The lower triangle L with L Lᵀ = A, written over A's lower triangle; the upper triangle is neither read nor written.
 *
 * @param a row by row, `size` × `size`, symmetric. @param size rows.
 * @returns the sum of the logarithms of the pivots (half of log|A|) and the rows that hang on earlier ones. Such a row gets pivot 1 and
 *   otherwise zeros: its effect cannot be told apart, and the others are solved as though it were not there. `choleskySolve` is told of it.
 * @throws RangeError when a pivot is not a number.
 * Source: Golub & Van Loan 2013, Matrix Computations, algorithm 4.2.1.
 *
 * @example
 * const a = new Float64Array([4, 0, 2, 5]);
 * cholesky(a, 2); // => { halfLogDeterminant: 1.3862943611198906, dropped: [] }
 */
export function cholesky(
  a: Float64Array,
  size: number,
): { halfLogDeterminant: number; dropped: number[] } {
  let halfLogDeterminant = 0;
  const dropped: number[] = [];
  for (let i = 0; i < size; i++) {
    const row = i * size;
    const before = a[row + i] as number;
    let pivot = before;
    for (let j = 0; j < i; j++) {
      const other = j * size;
      const value =
        ((a[row + j] as number) - rowDot(a, row, a, other, j)) / (a[other + j] as number);
      a[row + j] = value;
      pivot -= value * value;
    }
    if (Number.isNaN(pivot)) throw new RangeError("cholesky: a pivot is not a number");
    if (pivot <= 1e-11 * Math.abs(before) || pivot <= 0) {
      dropped.push(i);
      for (let j = 0; j < i; j++) a[row + j] = 0;
      a[row + i] = 1;
      // Nothing later may lean on it either.
      for (let later = i + 1; later < size; later++) a[later * size + i] = 0;
      continue;
    }
    const root = Math.sqrt(pivot);
    a[row + i] = root;
    halfLogDeterminant += Math.log(root);
  }
  return { halfLogDeterminant, dropped };
}

/**
 * Solves L Lᵀ x = b in place.
 * @param l what `cholesky` left. @param size rows. @param b the right side; becomes x. @param dropped the rows that `cholesky` left out: their answer is 0.
 * Source: Golub & Van Loan 2013, algorithms 3.1.1 and 3.1.2.
 * @example
 * const b = new Float64Array([8, 9]);
 * choleskySolve(new Float64Array([2, 0, 1, 2]), 2, b);
 * [...b]; // => [1.375, 1.25]
 */
export function choleskySolve(
  l: Float64Array,
  size: number,
  b: Float64Array,
  dropped: readonly number[] = [],
): void {
  for (const row of dropped) b[row] = 0;
  for (let i = 0; i < size; i++) {
    let sum = b[i] as number;
    for (let j = 0; j < i; j++) sum -= (l[i * size + j] as number) * (b[j] as number);
    b[i] = sum / (l[i * size + i] as number);
  }
  for (let i = size - 1; i >= 0; i--) {
    const value = (b[i] as number) / (l[i * size + i] as number);
    b[i] = value;
    for (let j = 0; j < i; j++) b[j] = (b[j] as number) - (l[i * size + j] as number) * value;
  }
}

/**
 * The inverse of A from its triangle, both halves filled.
 * @param l what `cholesky` left. @param size rows.
 * Source: Golub & Van Loan 2013, section 3.1 (inverse of the triangle, then its square).
 * @example
 * [...choleskyInverse(new Float64Array([2, 0, 0, 4]), 2)]; // => [0.25, 0, 0, 0.0625]
 */
export function choleskyInverse(l: Float64Array, size: number): Float64Array {
  // Rows of `upper` are the columns of the inverted triangle, so that both loops run along rows.
  const upper = new Float64Array(size * size);
  for (let column = 0; column < size; column++) {
    const base = column * size;
    upper[base + column] = 1 / (l[base + column] as number);
    for (let i = column + 1; i < size; i++) {
      const row = i * size;
      const sum = rowDot(l, row + column, upper, base + column, i - column);
      upper[base + i] = -sum / (l[row + i] as number);
    }
  }
  const inverse = new Float64Array(size * size);
  for (let i = 0; i < size; i++)
    for (let j = 0; j <= i; j++) {
      const sum = rowDot(upper, i * size + i, upper, j * size + i, size - i);
      inverse[i * size + j] = sum;
      inverse[j * size + i] = sum;
    }
  return inverse;
}
