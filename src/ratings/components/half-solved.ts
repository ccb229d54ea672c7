import { rowDot } from "../statistics/row-dot.ts";
import type { Absorbed, Effects } from "./absorbed.ts";
import type { CrossProducts } from "./cross-products.ts";
import type { Layout } from "./layout.ts";

/**
 * L⁻¹ g, where L L' = W'W + Λ: half of the way to the solution, and all of it for g' (W'W + Λ)⁻¹ g, its square. The right side is left as it was.
 * Source: Golub & Van Loan 2013, Matrix Computations, section 4.2 (block elimination), algorithm 3.1.1.
 */
export function halfSolved(
  { pivots, triangles, bent, border: triangle, dropped }: Absorbed,
  { firstInner, firstBorder }: CrossProducts,
  { blocks, innerRows, borderRows: b }: Layout,
  right: Effects,
): Effects {
  const [first, inner, border] = [right.first.slice(), right.inner.slice(), right.border.slice()];
  const { usual, columns, differences, starts } = firstBorder;
  let shares = 0;
  for (let d = 0; d < pivots.length; d++) {
    if (first[d] === 0) continue;
    const share = (first[d] as number) / (pivots[d] as number);
    first[d] = (first[d] as number) / Math.sqrt(pivots[d] as number);
    shares += share;
    for (let i = firstInner.starts[d] as number; i < (firstInner.starts[d + 1] as number); i++) {
      const row = firstInner.columns[i] as number;
      inner[row] = (inner[row] as number) - share * (firstInner.counts[i] as number);
    }
    for (let i = starts[d] as number; i < (starts[d + 1] as number); i++) {
      const row = columns[i] as number;
      border[row] = (border[row] as number) - share * (differences[i] as number);
    }
  }
  for (let j = 0; j < b; j++) border[j] = (border[j] as number) - shares * (usual[j] as number);
  blocks.forEach(({ start, size }, h) => {
    forward(triangles[h] as Float64Array, size, inner, start);
  });
  for (let row = 0; row < innerRows; row++) {
    const value = inner[row] as number;
    if (value === 0) continue;
    for (let j = 0; j < b; j++)
      border[j] = (border[j] as number) - (bent[row * b + j] as number) * value;
  }
  forward(triangle, b, border, 0);
  // A row that hangs on others is left out: it answers 0.
  for (const row of dropped) border[row] = 0;
  return { first, inner, border };
}

/** The other half: x from L⁻¹ g. */
export function solvedFrom(
  half: Effects,
  { pivots, triangles, bent, border: triangle }: Absorbed,
  { firstInner, firstBorder }: CrossProducts,
  { blocks, innerRows, borderRows: b }: Layout,
): Effects {
  const [first, inner, border] = [half.first.slice(), half.inner.slice(), half.border.slice()];
  backward(triangle, b, border, 0);
  for (let row = 0; row < innerRows; row++) {
    inner[row] = (inner[row] as number) - rowDot(bent, row * b, border, 0, b);
  }
  blocks.forEach(({ start, size }, h) => {
    backward(triangles[h] as Float64Array, size, inner, start);
  });
  const { usual, columns, differences, starts } = firstBorder;
  const usualTaken = rowDot(usual, 0, border, 0, b);
  for (let d = 0; d < pivots.length; d++) {
    let taken = usualTaken;
    for (let i = firstInner.starts[d] as number; i < (firstInner.starts[d + 1] as number); i++)
      taken +=
        (firstInner.counts[i] as number) * (inner[firstInner.columns[i] as number] as number);
    for (let i = starts[d] as number; i < (starts[d + 1] as number); i++)
      taken += (differences[i] as number) * (border[columns[i] as number] as number);
    const pivot = pivots[d] as number;
    first[d] = (first[d] as number) / Math.sqrt(pivot) - taken / pivot;
  }
  return { first, inner, border };
}

function forward(l: Float64Array, size: number, x: Float64Array, start: number): void {
  for (let i = 0; i < size; i++) {
    const sum = (x[start + i] as number) - rowDot(l, i * size, x, start, i);
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
