/**
 * Rows of counts as one usual row and what each differs from it. In a panel that is nearly complete every judge marked every item of nearly every candidate:
 * a handful of differences stands for hundreds of counts, and what is summed over rows costs their squares.
 */
export interface NearRows {
  /** In each column the count that most rows have. */
  usual: Float64Array;
  starts: Int32Array;
  columns: Int32Array;
  /** Count less usual count, never 0. */
  differences: Float64Array;
}

/** @param table counts, row by row. */
export function nearRows(table: Int32Array, rows: number, width: number): NearRows {
  const { usual, filled } = usualRow(table, rows, width);
  const starts = new Int32Array(rows + 1);
  const columns = new Int32Array(filled);
  const differences = new Float64Array(filled);
  let next = 0;
  for (let row = 0, at = 0; row < rows; row++) {
    for (let column = 0; column < width; column++, at++) {
      const difference = (table[at] as number) - (usual[column] as number);
      if (difference === 0) continue;
      columns[next] = column;
      differences[next++] = difference;
    }
    starts[row + 1] = next;
  }
  return { usual, starts, columns, differences };
}

/**
 * Whatever more than half the rows have; in a column where nothing does, some count that occurs, or 0 where that is as frequent.
 * Any choice gives the same answers, this one few differences. Source: Boyer & Moore 1991 (majority vote), doi:10.1007/978-94-011-3488-0_5.
 */
function usualRow(table: Int32Array, rows: number, width: number) {
  const usual = new Int32Array(width);
  const votes = new Int32Array(width);
  for (let row = 0, at = 0; row < rows; row++)
    for (let column = 0; column < width; column++, at++) {
      const count = table[at] as number;
      const standing = votes[column] as number;
      if (count === usual[column]) votes[column] = standing + 1;
      else if (standing > 0) votes[column] = standing - 1;
      else {
        usual[column] = count;
        votes[column] = 1;
      }
    }
  const [same, none] = [new Int32Array(width), new Int32Array(width)];
  for (let row = 0, at = 0; row < rows; row++)
    for (let column = 0; column < width; column++, at++) {
      const count = table[at] as number;
      if (count === usual[column]) same[column] = (same[column] as number) + 1;
      if (count === 0) none[column] = (none[column] as number) + 1;
    }
  let filled = 0;
  for (let column = 0; column < width; column++) {
    const [with0, withUsual] = [none[column] as number, same[column] as number];
    if (with0 >= withUsual) usual[column] = 0;
    filled += rows - Math.max(with0, withUsual);
  }
  return { usual: Float64Array.from(usual), filled };
}
