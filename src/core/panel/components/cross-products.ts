import type { Layout } from "./layout.ts";

/** Counts of marks where two effects meet, and sums of marks of each effect: all that the equations need to know of the data. */
export interface CrossProducts {
  n: number;
  /** Σ mark², about `mean`. */
  squares: number;
  /** Sums of marks about `mean`: of the levels absorbed first, of the inner rows, of the border. */
  sums: { first: Float64Array; inner: Float64Array; border: Float64Array };
  firstCounts: Float64Array;
  /** For each level absorbed first: where it meets inner rows and border rows. */
  firstInner: SparseRows;
  firstBorder: SparseRows;
  /** For each block, inner × inner, row by row. */
  innerInner: Float64Array[];
  /** Inner × border, and border × border (both halves), row by row. */
  innerBorder: Float64Array;
  borderBorder: Float64Array;
  mean: number;
}
export interface SparseRows {
  starts: Int32Array;
  columns: Int32Array;
  counts: Float64Array;
}

export function crossProducts(marks: Float64Array, layout: Layout): CrossProducts {
  const { first, blockOfFirst, inner, blocks, innerRows, border, borderRows: b } = layout;
  const n = marks.length;
  let mean = 0;
  for (const mark of marks) mean += mark / n;
  const firstBorder = new Int32Array(first.levels * b);
  const widest = blocks.reduce((most, { size }) => Math.max(most, size), 0);
  const firstInner = new Int32Array(first.levels * widest);
  const innerInner = blocks.map(({ size }) => new Float64Array(size * size));
  const innerBorder = new Float64Array(innerRows * b);
  const borderBorder = new Float64Array(b * b);
  const sums = {
    first: new Float64Array(first.levels),
    inner: new Float64Array(innerRows),
    border: new Float64Array(b),
  };
  const innerCodes = inner.map(({ term }) => term.codes);
  const innerPlaces = inner.map(({ place }) => place);
  const here = new Int32Array(inner.length);
  const out = new Int32Array(border.length + 1);
  let squares = 0;
  for (let i = 0; i < n; i++) {
    const mark = (marks[i] as number) - mean;
    squares += mark * mark;
    const d = first.codes[i] as number;
    const { start, size } = blocks[blockOfFirst[d] as number] as { start: number; size: number };
    for (let t = 0; t < here.length; t++)
      here[t] = (innerPlaces[t] as Int32Array)[
        (innerCodes[t] as Int32Array)[i] as number
      ] as number;
    let outs = 0;
    for (let t = 0; t < border.length; t++) {
      const part = border[t] as Layout["border"][number];
      const code = part.term.codes[i] as number;
      if (!part.isFixed || code > 0) out[outs++] = part.start + code;
    }
    out[outs++] = layout.fixedStart;

    sums.first[d] = (sums.first[d] as number) + mark;
    const block = innerInner[blockOfFirst[d] as number] as Float64Array;
    for (let t = 0; t < here.length; t++) {
      const row = here[t] as number;
      const at = d * widest + row - start;
      sums.inner[row] = (sums.inner[row] as number) + mark;
      firstInner[at] = (firstInner[at] as number) + 1;
      for (let u = 0; u < here.length; u++) {
        const cell = (row - start) * size + (here[u] as number) - start;
        block[cell] = (block[cell] as number) + 1;
      }
      for (let o = 0; o < outs; o++) {
        const cell = row * b + (out[o] as number);
        innerBorder[cell] = (innerBorder[cell] as number) + 1;
      }
    }
    for (let o = 0; o < outs; o++) {
      const row = out[o] as number;
      sums.border[row] = (sums.border[row] as number) + mark;
      const at = d * b + row;
      firstBorder[at] = (firstBorder[at] as number) + 1;
      for (let u = 0; u <= o; u++) {
        const cell = row * b + (out[u] as number);
        borderBorder[cell] = (borderBorder[cell] as number) + 1;
      }
    }
  }
  for (let i = 0; i < b; i++)
    for (let j = 0; j < i; j++) {
      // Each pair was counted in one of the two halves only.
      const both = (borderBorder[i * b + j] as number) + (borderBorder[j * b + i] as number);
      borderBorder[i * b + j] = both;
      borderBorder[j * b + i] = both;
    }
  return {
    n,
    mean,
    squares,
    sums,
    firstCounts: first.counts,
    firstInner: sparse(
      firstInner,
      first.levels,
      widest,
      (d) => (blocks[blockOfFirst[d] as number] as { start: number }).start,
    ),
    firstBorder: sparse(firstBorder, first.levels, b, () => 0),
    innerInner,
    innerBorder,
    borderBorder,
  };
}

function sparse(
  table: Int32Array,
  rows: number,
  width: number,
  shift: (row: number) => number,
): SparseRows {
  const filled = table.reduce((sum, count) => sum + (count === 0 ? 0 : 1), 0);
  const starts = new Int32Array(rows + 1);
  const columns = new Int32Array(filled);
  const counts = new Float64Array(filled);
  let next = 0;
  for (let row = 0; row < rows; row++) {
    const by = shift(row);
    for (let column = 0; column < width; column++) {
      const count = table[row * width + column] as number;
      if (count === 0) continue;
      columns[next] = column + by;
      counts[next++] = count;
    }
    starts[row + 1] = next;
  }
  return { starts, columns, counts };
}
