import type { Effects } from "./absorbed.ts";
import type { CrossProducts } from "./cross-products.ts";
import type { Layout } from "./layout.ts";
import type { Term } from "./term.ts";

/** Where each level of a term stands in the equations. */
export interface TermRows {
  part: keyof Effects;
  places: Int32Array;
}

export function rowsOfTerms(layout: Layout, terms: readonly Term[]): TermRows[] {
  return terms.map((term): TermRows => {
    if (term === layout.first)
      return { part: "first", places: Int32Array.from({ length: term.levels }, (_, l) => l) };
    const inside = layout.inner.find((one) => one.term === term);
    if (inside) return { part: "inner", places: inside.place };
    const start = layout.border.find((one) => one.term === term)?.start ?? 0;
    return {
      part: "border",
      places: Int32Array.from({ length: term.levels }, (_, l) => start + l),
    };
  });
}

/** W'W x: what the equations see of effects x. */
export function timesCrossProducts(data: CrossProducts, layout: Layout, x: Effects): Effects {
  const { firstCounts, firstInner, firstBorder, innerInner, innerBorder, borderBorder } = data;
  const { blocks, innerRows, borderRows: b } = layout;
  // Often only one part holds anything.
  const isEmpty = (part: Float64Array) => part.every((value) => value === 0);
  const [noInner, noBorder] = [isEmpty(x.inner), isEmpty(x.border)];
  const first = firstCounts.map((count, d) => count * (x.first[d] as number));
  const inner = new Float64Array(innerRows);
  const border = new Float64Array(b);
  for (let d = 0; d < first.length; d++) {
    const own = x.first[d] as number;
    if (own === 0 && noInner && noBorder) continue;
    let sum = 0;
    for (let i = firstInner.starts[d] as number; i < (firstInner.starts[d + 1] as number); i++) {
      const [row, count] = [firstInner.columns[i] as number, firstInner.counts[i] as number];
      sum += count * (x.inner[row] as number);
      inner[row] = (inner[row] as number) + count * own;
    }
    for (let i = firstBorder.starts[d] as number; i < (firstBorder.starts[d + 1] as number); i++) {
      const [row, count] = [firstBorder.columns[i] as number, firstBorder.counts[i] as number];
      sum += count * (x.border[row] as number);
      border[row] = (border[row] as number) + count * own;
    }
    first[d] = (first[d] as number) + sum;
  }
  blocks.forEach(({ start, size }, h) => {
    const block = innerInner[h] as Float64Array;
    for (let i = 0; i < size; i++) {
      let sum = 0;
      for (let j = 0; j < size; j++)
        sum += (block[i * size + j] as number) * (x.inner[start + j] as number);
      inner[start + i] = (inner[start + i] as number) + sum;
    }
  });
  for (let row = 0; row < innerRows; row++) {
    const own = x.inner[row] as number;
    if (noBorder && own === 0) continue;
    let sum = 0;
    for (let j = 0; j < b; j++) {
      const count = innerBorder[row * b + j] as number;
      sum += count * (x.border[j] as number);
      border[j] = (border[j] as number) + count * own;
    }
    inner[row] = (inner[row] as number) + sum;
  }
  for (let i = 0; i < b && !noBorder; i++) {
    let sum = 0;
    for (let j = 0; j < b; j++)
      sum += (borderBorder[i * b + j] as number) * (x.border[j] as number);
    border[i] = (border[i] as number) + sum;
  }
  return { first, inner, border };
}
