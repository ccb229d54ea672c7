/**
 * Σ a[i + k] · b[j + k] over `length` places: two rows of two tables, multiplied.
 * Four sums side by side, since each addition waits for the one before it; rounding differs in the last digits from a sum in one go.
 *
 * @param a @param i where its row begins. @param b @param j where its row begins. @param length places; 0 gives 0.
 * Source: Golub & Van Loan 2013, Matrix Computations, section 1.5 (unrolling).
 *
 * @example
 * rowDot(new Float64Array([9, 1, 2]), 1, new Float64Array([3, 4]), 0, 2); // => 11
 */
export function rowDot(
  a: Float64Array,
  i: number,
  b: Float64Array,
  j: number,
  length: number,
): number {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let k = 0;
  for (; k + 3 < length; k += 4) {
    s0 += (a[i + k] as number) * (b[j + k] as number);
    s1 += (a[i + k + 1] as number) * (b[j + k + 1] as number);
    s2 += (a[i + k + 2] as number) * (b[j + k + 2] as number);
    s3 += (a[i + k + 3] as number) * (b[j + k + 3] as number);
  }
  for (; k < length; k++) s0 += (a[i + k] as number) * (b[j + k] as number);
  return s0 + s1 + (s2 + s3);
}
