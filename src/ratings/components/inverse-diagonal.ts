import { choleskyInverse } from "../statistics/cholesky.ts";
import { rowDot } from "../statistics/row-dot.ts";
import type { Absorbed, Effects } from "./absorbed.ts";
import type { CrossProducts } from "./cross-products.ts";
import { timesSymmetric } from "./dense-kernels.ts";
import type { Layout } from "./layout.ts";

/** The diagonal of (W'W + Λ)⁻¹, without which no trace and no standard error of a prediction: by the same three parts as `absorbed`, backwards. */
export function inverseDiagonal(parts: Absorbed, data: CrossProducts, layout: Layout): Effects {
  const { pivots, triangles, bent } = parts;
  const { blocks, blockOfFirst, innerRows, borderRows: b } = layout;
  const { firstInner, firstBorder } = data;
  const outer = choleskyInverse(parts.border, b);
  // Rows left out have neither variance nor covariance.
  for (const row of parts.dropped)
    for (let j = 0; j < b; j++) {
      outer[row * b + j] = 0;
      outer[j * b + row] = 0;
    }
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
        const sum =
          (inverse[i * size + j] as number) +
          rowDot(minusCross, (start + i) * b, slope, (start + j) * b, b);
        inverse[i * size + j] = sum;
        inverse[j * size + i] = sum;
      }
    return inverse;
  });

  // What the usual row sees, once for all levels.
  const { usual, columns, differences } = firstBorder;
  const outerUsual = timesVector(outer, b, usual);
  const crossUsual = timesVector(minusCross, innerRows, usual);
  const usualSquare = rowDot(usual, 0, outerUsual, 0, b);
  const first = new Float64Array(pivots.length);
  for (let d = 0; d < first.length; d++) {
    const h = blockOfFirst[d] as number;
    const { start, size } = blocks[h] as { start: number; size: number };
    const block = within[h] as Float64Array;
    const [outFrom, outTo] = [firstBorder.starts[d] as number, firstBorder.starts[d + 1] as number];
    const [from, to] = [firstInner.starts[d] as number, firstInner.starts[d + 1] as number];
    let sum = usualSquare;
    for (let i = from; i < to; i++) {
      const row = firstInner.columns[i] as number;
      let part = -2 * (crossUsual[row] as number);
      for (let j = from; j < to; j++)
        part +=
          (firstInner.counts[j] as number) *
          (block[(row - start) * size + (firstInner.columns[j] as number) - start] as number);
      for (let j = outFrom; j < outTo; j++)
        part -=
          2 * (differences[j] as number) * (minusCross[row * b + (columns[j] as number)] as number);
      sum += part * (firstInner.counts[i] as number);
    }
    for (let i = outFrom; i < outTo; i++) {
      const column = columns[i] as number;
      const row = column * b;
      let part = 2 * (outerUsual[column] as number);
      part += (differences[i] as number) * (outer[row + column] as number);
      for (let j = outFrom; j < i; j++)
        part += 2 * (differences[j] as number) * (outer[row + (columns[j] as number)] as number);
      sum += part * (differences[i] as number);
    }
    const pivot = pivots[d] as number;
    first[d] = 1 / pivot + sum / (pivot * pivot);
  }
  const inner = new Float64Array(innerRows);
  blocks.forEach(({ start, size }, h) => {
    for (let i = 0; i < size; i++)
      inner[start + i] = (within[h] as Float64Array)[i * size + i] as number;
  });
  const border = Float64Array.from({ length: b }, (_, i) => outer[i * b + i] as number);
  return { first, inner, border };
}

/** M v, M having so many rows. */
const timesVector = (matrix: Float64Array, rows: number, vector: Float64Array): Float64Array =>
  Float64Array.from({ length: rows }, (_, row) =>
    rowDot(matrix, row * vector.length, vector, 0, vector.length),
  );
