import { cholesky, choleskyInverse } from "../../statistics/cholesky.ts";
import type { CrossProducts, SparseRows } from "./cross-products.ts";
import { addSquares, timesSymmetric } from "./dense-kernels.ts";
import type { Layout } from "./layout.ts";

/** One vector over all effects, in the three parts of the layout. */
export interface Effects {
  first: Float64Array;
  inner: Float64Array;
  border: Float64Array;
}
/** λ of each part: residual variance over the effect's variance; 0 for fixed effects. */
export interface Ridge {
  first: number;
  /** By inner row. */
  inner: Float64Array;
  /** By border row. */
  border: Float64Array;
}

/** Levels absorbed first with the same number of marks share their pivot, so what they take from the border is summed once and for all. */
export type SharedPivots = { count: number; square: Float64Array }[];

/** At most so many different pivots are worth a matrix each. */
const FEW = 40;

/** `null` where the pivots are too many. */
export function sharedPivots(
  { firstCounts, firstBorder }: CrossProducts,
  b: number,
): SharedPivots | null {
  const byCount = new Map<number, number[]>();
  firstCounts.forEach((count, d) => {
    const levels = byCount.get(count);
    if (levels) levels.push(d);
    else byCount.set(count, [d]);
  });
  if (byCount.size > FEW) return null;
  return [...byCount].map(([count, levels]) => {
    const square = new Float64Array(b * b);
    const { starts, columns, counts } = firstBorder;
    const filled = levels.reduce(
      (sum, d) => sum + (starts[d + 1] as number) - (starts[d] as number),
      0,
    );
    // Rows that are nearly full go faster when written out.
    if (filled > (levels.length * b) / 3) {
      const rows = new Float64Array(levels.length * b);
      levels.forEach((d, row) => {
        for (let i = starts[d] as number; i < (starts[d + 1] as number); i++)
          rows[row * b + (columns[i] as number)] = counts[i] as number;
      });
      addSquares(square, b, rows, levels.length, 1);
    } else for (const d of levels) addOuter(square, b, firstBorder, d, 1);
    return { count, square };
  });
}

/** Adds weight · r rᵀ to the lower half, r a sparse row with rising columns. */
function addOuter(
  into: Float64Array,
  b: number,
  rows: SparseRows,
  d: number,
  weight: number,
): void {
  const { starts, columns, counts } = rows;
  const [from, to] = [starts[d] as number, starts[d + 1] as number];
  for (let i = from; i < to; i++) {
    const row = (columns[i] as number) * b;
    const scaled = weight * (counts[i] as number);
    for (let j = from; j <= i; j++) {
      const cell = row + (columns[j] as number);
      into[cell] = (into[cell] as number) + scaled * (counts[j] as number);
    }
  }
}

/** The equations (W'W + Λ) x = g, taken apart: first levels, then blocks, then the border. */
export interface Absorbed {
  halfLogDeterminant: number;
  droppedBorder: number;
  pivots: Float64Array;
  /** Of each block: the triangle, and its rows of L⁻¹ A over the border. */
  triangles: Float64Array[];
  bent: Float64Array;
  border: Float64Array;
}

/**
 * Absorbs everything into the border and takes the triangle of what remains.
 * Source: absorption as in Henderson 1984, Applications of Linear Models in Animal Breeding, chapter 5; block elimination as in Golub & Van Loan 2013, section 4.2.
 */
export function absorbed(
  data: CrossProducts,
  layout: Layout,
  ridge: Ridge,
  shared: SharedPivots | null,
): Absorbed {
  const { blocks, innerRows, borderRows: b } = layout;
  const pivots = data.firstCounts.map((count) => count + ridge.first);
  let halfLogDeterminant = 0;
  for (const pivot of pivots) halfLogDeterminant += Math.log(pivot) / 2;

  const border = data.borderBorder.slice();
  for (let i = 0; i < b; i++)
    border[i * b + i] = (border[i * b + i] as number) + (ridge.border[i] as number);
  if (shared)
    for (const { count, square } of shared) {
      const weight = 1 / (count + ridge.first);
      for (let i = 0; i < b; i++)
        for (let at = i * b; at <= i * b + i; at++)
          border[at] = (border[at] as number) - weight * (square[at] as number);
    }
  else
    for (let d = 0; d < pivots.length; d++)
      addOuter(border, b, data.firstBorder, d, -1 / (pivots[d] as number));

  const bent = data.innerBorder.slice();
  const triangles = data.innerInner.map((block) => block.slice());
  takeFirstFromInner(data, layout, pivots, triangles, bent);
  blocks.forEach(({ start, size }, h) => {
    const triangle = triangles[h] as Float64Array;
    for (let i = 0; i < size; i++)
      triangle[i * size + i] =
        (triangle[i * size + i] as number) + (ridge.inner[start + i] as number);
    halfLogDeterminant += cholesky(triangle, size).halfLogDeterminant;
    for (let i = 0; i < size; i++) {
      const row = (start + i) * b;
      for (let k = 0; k < i; k++) {
        const factor = triangle[i * size + k] as number;
        if (factor === 0) continue;
        const other = (start + k) * b;
        for (let j = 0; j < b; j++)
          bent[row + j] = (bent[row + j] as number) - factor * (bent[other + j] as number);
      }
      const inverse = 1 / (triangle[i * size + i] as number);
      for (let j = 0; j < b; j++) bent[row + j] = (bent[row + j] as number) * inverse;
    }
  });
  addSquares(border, b, bent, innerRows, -1);
  const last = cholesky(border, b);
  return {
    halfLogDeterminant: halfLogDeterminant + last.halfLogDeterminant,
    droppedBorder: last.dropped.length,
    pivots,
    triangles,
    bent,
    border,
  };
}

function takeFirstFromInner(
  { firstInner, firstBorder }: CrossProducts,
  { blocks, blockOfFirst, borderRows: b }: Layout,
  pivots: Float64Array,
  triangles: readonly Float64Array[],
  bent: Float64Array,
): void {
  for (let d = 0; d < pivots.length; d++) {
    const h = blockOfFirst[d] as number;
    const { start, size } = blocks[h] as { start: number; size: number };
    const triangle = triangles[h] as Float64Array;
    const [from, to] = [firstInner.starts[d] as number, firstInner.starts[d + 1] as number];
    const [outFrom, outTo] = [firstBorder.starts[d] as number, firstBorder.starts[d + 1] as number];
    for (let i = from; i < to; i++) {
      const scaled = (firstInner.counts[i] as number) / (pivots[d] as number);
      const row = firstInner.columns[i] as number;
      for (let j = from; j < to; j++) {
        const cell = (row - start) * size + (firstInner.columns[j] as number) - start;
        triangle[cell] = (triangle[cell] as number) - scaled * (firstInner.counts[j] as number);
      }
      for (let j = outFrom; j < outTo; j++) {
        const cell = row * b + (firstBorder.columns[j] as number);
        bent[cell] = (bent[cell] as number) - scaled * (firstBorder.counts[j] as number);
      }
    }
  }
}

/** The solution for one right side; the right side is left as it was. */
export function solution(
  parts: Absorbed,
  data: CrossProducts,
  layout: Layout,
  right: Effects,
): Effects {
  const { pivots, triangles, bent } = parts;
  const { blocks, innerRows, borderRows: b } = layout;
  const { firstInner, firstBorder } = data;
  const [first, inner, border] = [right.first.slice(), right.inner.slice(), right.border.slice()];
  for (let d = 0; d < pivots.length; d++) {
    const share = (first[d] as number) / (pivots[d] as number);
    first[d] = share;
    if (share === 0) continue;
    for (let i = firstInner.starts[d] as number; i < (firstInner.starts[d + 1] as number); i++) {
      const row = firstInner.columns[i] as number;
      inner[row] = (inner[row] as number) - share * (firstInner.counts[i] as number);
    }
    for (let i = firstBorder.starts[d] as number; i < (firstBorder.starts[d + 1] as number); i++) {
      const row = firstBorder.columns[i] as number;
      border[row] = (border[row] as number) - share * (firstBorder.counts[i] as number);
    }
  }
  blocks.forEach(({ start, size }, h) => {
    forward(triangles[h] as Float64Array, size, inner, start);
  });
  for (let row = 0; row < innerRows; row++) {
    const value = inner[row] as number;
    for (let j = 0; j < b; j++)
      border[j] = (border[j] as number) - (bent[row * b + j] as number) * value;
  }
  forward(parts.border, b, border, 0);
  backward(parts.border, b, border, 0);
  for (let row = 0; row < innerRows; row++) {
    let value = inner[row] as number;
    for (let j = 0; j < b; j++) value -= (bent[row * b + j] as number) * (border[j] as number);
    inner[row] = value;
  }
  blocks.forEach(({ start, size }, h) => {
    backward(triangles[h] as Float64Array, size, inner, start);
  });
  for (let d = 0; d < pivots.length; d++) {
    let taken = 0;
    for (let i = firstInner.starts[d] as number; i < (firstInner.starts[d + 1] as number); i++)
      taken +=
        (firstInner.counts[i] as number) * (inner[firstInner.columns[i] as number] as number);
    for (let i = firstBorder.starts[d] as number; i < (firstBorder.starts[d + 1] as number); i++)
      taken +=
        (firstBorder.counts[i] as number) * (border[firstBorder.columns[i] as number] as number);
    first[d] = (first[d] as number) - taken / (pivots[d] as number);
  }
  return { first, inner, border };
}

function forward(l: Float64Array, size: number, x: Float64Array, start: number): void {
  for (let i = 0; i < size; i++) {
    let sum = x[start + i] as number;
    for (let j = 0; j < i; j++) sum -= (l[i * size + j] as number) * (x[start + j] as number);
    x[start + i] = sum / (l[i * size + i] as number);
  }
}
function backward(l: Float64Array, size: number, x: Float64Array, start: number): void {
  for (let i = size - 1; i >= 0; i--) {
    const value = (x[start + i] as number) / (l[i * size + i] as number);
    x[start + i] = value;
    for (let j = 0; j < i; j++)
      x[start + j] = (x[start + j] as number) - (l[i * size + j] as number) * value;
  }
}

/** What the inverse (W'W + Λ)⁻¹ has on its diagonal. */
export interface InverseDiagonal {
  inner: Float64Array;
  border: Float64Array;
  firstTrace: number;
  /** Level by level; `null` where pivots are shared and only the trace was asked for. */
  first: Float64Array | null;
}

/** The diagonal of (W'W + Λ)⁻¹, without which no trace: by the same three parts, backwards. With `shared`, of the first part its sum only. */
export function inverseDiagonal(
  parts: Absorbed,
  data: CrossProducts,
  layout: Layout,
  ridge: Ridge,
  shared: SharedPivots | null,
): InverseDiagonal {
  const { pivots, triangles, bent } = parts;
  const { blocks, blockOfFirst, innerRows, borderRows: b } = layout;
  const { firstInner, firstBorder } = data;
  const outer = choleskyInverse(parts.border, b);
  // Rows of A⁻¹ B of each block over the border, then the same times the border's inverse.
  const slope = bent.slice();
  blocks.forEach(({ start, size }, h) => {
    const l = triangles[h] as Float64Array;
    for (let i = size - 1; i >= 0; i--) {
      const row = (start + i) * b;
      const inverse = 1 / (l[i * size + i] as number);
      for (let j = 0; j < b; j++) slope[row + j] = (slope[row + j] as number) * inverse;
      for (let k = 0; k < i; k++) {
        const factor = l[i * size + k] as number;
        const other = (start + k) * b;
        if (factor === 0) continue;
        for (let j = 0; j < b; j++)
          slope[other + j] = (slope[other + j] as number) - factor * (slope[row + j] as number);
      }
    }
  });
  const minusCross = timesSymmetric(slope, innerRows, outer, b);
  const within = blocks.map(({ start, size }, h) => {
    const inverse = choleskyInverse(triangles[h] as Float64Array, size);
    for (let i = 0; i < size; i++)
      for (let j = 0; j <= i; j++) {
        let sum = inverse[i * size + j] as number;
        const [left, right] = [(start + i) * b, (start + j) * b];
        for (let k = 0; k < b; k++)
          sum += (minusCross[left + k] as number) * (slope[right + k] as number);
        inverse[i * size + j] = sum;
        inverse[j * size + i] = sum;
      }
    return inverse;
  });
  const first = new Float64Array(pivots.length);
  for (let d = 0; d < first.length; d++) {
    const h = blockOfFirst[d] as number;
    const { start, size } = blocks[h] as { start: number; size: number };
    const block = within[h] as Float64Array;
    const [outFrom, outTo] = [firstBorder.starts[d] as number, firstBorder.starts[d + 1] as number];
    const { columns, counts } = firstBorder;
    let sum = 0;
    for (let i = firstInner.starts[d] as number; i < (firstInner.starts[d + 1] as number); i++) {
      const row = firstInner.columns[i] as number;
      let part = 0;
      for (let j = firstInner.starts[d] as number; j < (firstInner.starts[d + 1] as number); j++)
        part +=
          (firstInner.counts[j] as number) *
          (block[(row - start) * size + (firstInner.columns[j] as number) - start] as number);
      for (let j = outFrom; j < outTo; j++)
        part -=
          2 * (counts[j] as number) * (minusCross[row * b + (columns[j] as number)] as number);
      sum += part * (firstInner.counts[i] as number);
    }
    for (let i = outFrom; shared === null && i < outTo; i++) {
      const row = (columns[i] as number) * b;
      let part = (counts[i] as number) * (outer[row + (columns[i] as number)] as number);
      for (let j = outFrom; j < i; j++)
        part += 2 * (counts[j] as number) * (outer[row + (columns[j] as number)] as number);
      sum += part * (counts[i] as number);
    }
    const pivot = pivots[d] as number;
    first[d] = 1 / pivot + sum / (pivot * pivot);
  }
  let firstTrace = first.reduce((sum, value) => sum + value, 0);
  for (const { count, square } of shared ?? [])
    firstTrace += traceOfProduct(square, outer, b) / (count + ridge.first) ** 2;
  const inner = new Float64Array(innerRows);
  blocks.forEach(({ start, size }, h) => {
    for (let i = 0; i < size; i++)
      inner[start + i] = (within[h] as Float64Array)[i * size + i] as number;
  });
  const border = Float64Array.from({ length: b }, (_, i) => outer[i * b + i] as number);
  return { first: shared ? null : first, firstTrace, inner, border };
}

/** Of two symmetric matrices, the first known by its lower half. */
function traceOfProduct(lower: Float64Array, full: Float64Array, size: number): number {
  let [twice, once] = [0, 0];
  for (let i = 0; i < size; i++) {
    for (let at = i * size; at < i * size + i; at++)
      twice += (lower[at] as number) * (full[at] as number);
    once += (lower[i * size + i] as number) * (full[i * size + i] as number);
  }
  return 2 * twice + once;
}
