import { cholesky } from "../statistics/cholesky.ts";
import type { CrossProducts } from "./cross-products.ts";
import { addSquares } from "./dense-kernels.ts";
import type { Layout } from "./layout.ts";
import type { NearRows } from "./near-rows.ts";

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

/** The equations (W'W + Λ) x = g, taken apart: first levels, then blocks, then the border. */
export interface Absorbed {
  halfLogDeterminant: number;
  /** Border rows that hang on others; they are left out. */
  dropped: number[];
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
export function absorbed(data: CrossProducts, layout: Layout, ridge: Ridge): Absorbed {
  const { blocks, innerRows, borderRows: b } = layout;
  const pivots = data.firstCounts.map((count) => count + ridge.first);
  let halfLogDeterminant = 0;
  for (const pivot of pivots) halfLogDeterminant += Math.log(pivot) / 2;

  const border = data.borderBorder.slice();
  for (let i = 0; i < b; i++)
    border[i * b + i] = (border[i * b + i] as number) + (ridge.border[i] as number);
  takeFirstFromBorder(data.firstBorder, pivots, border);

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
    dropped: last.dropped,
    pivots,
    triangles,
    bent,
    border,
  };
}

/**
 * Takes Σ r r' / pivot over all rows r from the lower half. With r = usual row u and differences d, and s = Σ d / pivot, that is
 * u t' + t u' + Σ d d' / pivot, t = s + u Σ 1/pivot / 2.
 */
function takeFirstFromBorder(
  { usual, starts, columns, differences }: NearRows,
  pivots: Float64Array,
  border: Float64Array,
): void {
  const b = usual.length;
  const t = new Float64Array(b);
  let weights = 0;
  for (let d = 0; d < pivots.length; d++) {
    const weight = 1 / (pivots[d] as number);
    weights += weight;
    const [from, to] = [starts[d] as number, starts[d + 1] as number];
    for (let i = from; i < to; i++) {
      const column = columns[i] as number;
      const scaled = weight * (differences[i] as number);
      t[column] = (t[column] as number) + scaled;
      for (let j = from; j <= i; j++) {
        const cell = column * b + (columns[j] as number);
        border[cell] = (border[cell] as number) - scaled * (differences[j] as number);
      }
    }
  }
  for (let i = 0; i < b; i++) t[i] = (t[i] as number) + (weights / 2) * (usual[i] as number);
  for (let i = 0; i < b; i++) {
    const [ui, ti] = [usual[i] as number, t[i] as number];
    for (let j = 0; j <= i; j++)
      border[i * b + j] =
        (border[i * b + j] as number) - ui * (t[j] as number) - ti * (usual[j] as number);
  }
}

function takeFirstFromInner(
  { firstInner, firstBorder }: CrossProducts,
  { blocks, blockOfFirst, innerRows, borderRows: b }: Layout,
  pivots: Float64Array,
  triangles: readonly Float64Array[],
  bent: Float64Array,
): void {
  const { usual } = firstBorder;
  const timesUsual = new Float64Array(innerRows);
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
      timesUsual[row] = (timesUsual[row] as number) + scaled;
      for (let j = outFrom; j < outTo; j++) {
        const cell = row * b + (firstBorder.columns[j] as number);
        bent[cell] = (bent[cell] as number) - scaled * (firstBorder.differences[j] as number);
      }
    }
  }
  for (let row = 0, cell = 0; row < innerRows; row++)
    for (let j = 0; j < b; j++, cell++)
      bent[cell] = (bent[cell] as number) - (timesUsual[row] as number) * (usual[j] as number);
}
