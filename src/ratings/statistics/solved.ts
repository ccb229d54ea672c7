/**
 * The solution of a small system of linear equations.
 *
 * @param rows one array for each equation, as many as unknowns. @param right the right sides. Neither is changed.
 * @returns `null` where the equations do not determine the answer (a pivot below 1e-10 of its row).
 * Source: Golub & Van Loan 2013, Matrix Computations, algorithm 3.4.1 (elimination with row pivots), rows scaled first.
 *
 * @example
 * solved([[2, 1], [1, 3]], [3, 5]); // => [0.8, 1.4]
 * solved([[1, 2], [2, 4]], [1, 2]); // => null
 */
export function solved(
  rows: readonly ArrayLike<number>[],
  right: ArrayLike<number>,
): number[] | null {
  const size = rows.length;
  const work = rows.map((row, i) => {
    const values = Array.from(row);
    const scale = values.reduce((most, value) => Math.max(most, Math.abs(value)), 0) || 1;
    return [...values, right[i] as number].map((value) => value / scale);
  });
  const cell = (i: number, j: number) => (work[i] as number[])[j] as number;
  for (let column = 0; column < size; column++) {
    let best = column;
    for (let i = column + 1; i < size; i++)
      if (Math.abs(cell(i, column)) > Math.abs(cell(best, column))) best = i;
    if (!(Math.abs(cell(best, column)) > 1e-10)) return null;
    [work[column], work[best]] = [work[best] as number[], work[column] as number[]];
    for (let i = column + 1; i < size; i++) {
      const factor = cell(i, column) / cell(column, column);
      if (factor === 0) continue;
      const row = work[i] as number[];
      for (let j = column; j <= size; j++) row[j] = (row[j] as number) - factor * cell(column, j);
    }
  }
  const answer = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    let sum = cell(i, size);
    for (let j = i + 1; j < size; j++) sum -= cell(i, j) * (answer[j] as number);
    answer[i] = sum / cell(i, i);
  }
  return answer;
}
