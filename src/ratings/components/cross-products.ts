import type { Layout } from "./layout.ts";
import { type NearRows, nearRows } from "./near-rows.ts";
import type { Term } from "./term.ts";

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
  firstBorder: NearRows;
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

/** Where an effect's levels stand in a table: mark `i` at `at[codes[i]]`; below 0 is nowhere. */
interface Axis {
  codes: Int32Array;
  at: Int32Array;
  /** Its level for each level of the term absorbed first, where that decides it: a judge's candidate decides judge and candidate. */
  decided: Int32Array | null;
}

export function crossProducts(marks: Float64Array, layout: Layout): CrossProducts {
  const { first, blockOfFirst, inner, blocks, innerRows, borderRows: b, fixedStart } = layout;
  const n = marks.length;
  const { mean, centred, sum, squares } = aboutMean(marks);
  const sums = {
    first: new Float64Array(first.levels),
    inner: new Float64Array(innerRows),
    border: new Float64Array(b),
  };
  const widest = blocks.reduce((most, { size }) => Math.max(most, size), 0);
  const firstBorder = new Int32Array(first.levels * b);
  const firstInner = new Int32Array(first.levels * widest);
  const cellStarts = startsOfCells(blocks);
  const innerInner = new Int32Array(cellStarts[blocks.length] as number);
  const innerBorder = new Int32Array(innerRows * b);
  const borderBorder = new Int32Array(b * b);

  const border = layout.border.map(({ term, start, isFixed }) => ({
    codes: term.codes,
    decided: decidedBy(first, term),
    at: Int32Array.from({ length: term.levels }, (_, l) => (isFixed && l === 0 ? -1 : start + l)),
    counts: term.counts,
  }));
  const within = inner.map(({ term, place, block }) => {
    const its = { codes: term.codes, decided: decidedBy(first, term) };
    const local = place.map((row, l) => row - (blocks[block[l] as number] as Block).start);
    const cells = place.map((_, l) => {
      const h = block[l] as number;
      return (cellStarts[h] as number) + (local[l] as number) * (blocks[h] as Block).size;
    });
    return {
      ...its,
      at: place,
      counts: term.counts,
      local: { ...its, at: local },
      cells: { ...its, at: cells },
    };
  });

  // Pair by pair, each one short loop over the marks. The intercept meets every mark, and a level meets itself in all its marks.
  const levels = Int32Array.from({ length: first.levels }, (_, d) => d);
  const own: Axis = { codes: first.codes, decided: levels, at: levels };
  const count = (table: Int32Array, row: Axis, column: Axis) =>
    row.decided && column.decided
      ? addCounts(table, [row.decided, row.at], [column.decided, column.at], first.counts)
      : addCounts(table, [row.codes, row.at], [column.codes, column.at], null);
  const addUp = (into: Float64Array, { codes, decided, at }: Axis) =>
    decided ? addSums(into, decided, at, sums.first) : addSums(into, codes, at, centred);
  addSums(sums.first, first.codes, levels, centred);
  levels.forEach((d) => {
    firstBorder[d * b + fixedStart] = first.counts[d] as number;
  });
  within.forEach((term, t) => {
    addUp(sums.inner, term);
    count(firstInner, wide(own, widest), term.local);
    for (const other of within.slice(0, t)) count(innerInner, term.cells, other.local);
    for (const other of border) count(innerBorder, wide(term, b), other);
    term.counts.forEach((its, l) => {
      innerInner[(term.cells.at[l] as number) + (term.local.at[l] as number)] = its;
      innerBorder[(term.at[l] as number) * b + fixedStart] = its;
    });
  });
  border.forEach((term, t) => {
    addUp(sums.border, term);
    count(firstBorder, wide(own, b), term);
    for (const other of border.slice(0, t)) count(borderBorder, wide(term, b), other);
    term.at.forEach((row, l) => {
      if (row < 0) return;
      borderBorder[row * b + row] = term.counts[l] as number;
      borderBorder[row * b + fixedStart] = term.counts[l] as number;
    });
  });
  borderBorder[fixedStart * b + fixedStart] = n;
  sums.border[fixedStart] = sum;

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
      (d) => (blocks[blockOfFirst[d] as number] as Block).start,
    ),
    firstBorder: nearRows(firstBorder, first.levels, b),
    innerInner: blocks.map(({ size }, h) =>
      bothHalves(innerInner.subarray(cellStarts[h], cellStarts[h + 1]), size),
    ),
    innerBorder: new Float64Array(innerBorder),
    borderBorder: bothHalves(borderBorder, b),
  };
}
type Block = Layout["blocks"][number];

/** Marks less their mean; their sum is 0 but for rounding. Plain loops: over tens of thousands of marks a callback each costs more than the sums. */
function aboutMean(marks: Float64Array) {
  let mean = 0;
  for (let i = 0; i < marks.length; i++) mean += marks[i] as number;
  mean /= marks.length;
  const centred = new Float64Array(marks.length);
  let [sum, squares] = [0, 0];
  for (let i = 0; i < marks.length; i++) {
    const mark = (marks[i] as number) - mean;
    centred[i] = mark;
    sum += mark;
    squares += mark * mark;
  }
  return { mean, centred, sum, squares };
}

/** Where each block's own table begins when one lies behind the other; last, where they end. */
function startsOfCells(blocks: readonly Block[]): Int32Array {
  const starts = new Int32Array(blocks.length + 1);
  blocks.forEach(({ size }, h) => {
    starts[h + 1] = (starts[h] as number) + size * size;
  });
  return starts;
}

function decidedBy(first: Term, { factors, codes }: Term): Int32Array | null {
  if (!factors.every((factor) => first.factors.includes(factor))) return null;
  const decided = new Int32Array(first.levels);
  for (let i = 0; i < codes.length; i++) decided[first.codes[i] as number] = codes[i] as number;
  return decided;
}

/** The rows of a table so wide. */
const wide = (axis: Axis, width: number): Axis => ({
  ...axis,
  at: axis.at.map((row) => row * width),
});

/** Adds each mark, or as many marks as there are together, where its row begins plus its column. */
function addCounts(
  table: Int32Array,
  [rowCodes, rowAt]: readonly [Int32Array, Int32Array],
  [columnCodes, columnAt]: readonly [Int32Array, Int32Array],
  together: Float64Array | null,
): void {
  for (let i = 0; i < rowCodes.length; i++) {
    const from = rowAt[rowCodes[i] as number] as number;
    const by = columnAt[columnCodes[i] as number] as number;
    if (from < 0 || by < 0) continue;
    table[from + by] = (table[from + by] as number) + (together ? (together[i] as number) : 1);
  }
}

function addSums(into: Float64Array, codes: Int32Array, at: Int32Array, marks: Float64Array): void {
  for (let i = 0; i < codes.length; i++) {
    const place = at[codes[i] as number] as number;
    if (place >= 0) into[place] = (into[place] as number) + (marks[i] as number);
  }
}

/** Each pair was counted in one of the two halves only. */
function bothHalves(counts: Int32Array, size: number): Float64Array {
  const both = new Float64Array(counts);
  for (let i = 0; i < size; i++)
    for (let j = 0; j < i; j++) {
      const sum = (counts[i * size + j] as number) + (counts[j * size + i] as number);
      both[i * size + j] = sum;
      both[j * size + i] = sum;
    }
  return both;
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
