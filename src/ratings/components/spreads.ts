import type { CrossProducts } from "./cross-products.ts";
import { rowsOfTerms } from "./effect-rows.ts";
import type { Layout } from "./layout.ts";
import type { Term } from "./term.ts";

/**
 * How far each effect's levels are spread over another's: squared counts of marks where two levels meet, each as a share of the one level's marks, summed.
 *
 * @returns `[one][other]`, shares of `one`'s levels; as large as the number of marks when `other` is coarser than `one` or the same.
 */
export function spreadsOf(
  { n, firstCounts, firstInner, firstBorder, innerInner, innerBorder, borderBorder }: CrossProducts,
  layout: Layout,
  terms: readonly Term[],
): number[][] {
  const { blocks, innerRows, borderRows: b } = layout;
  const spreads = terms.map(() => terms.map(() => 0));
  // Of each row: which term it is of (-1: a fixed effect) and how many marks.
  const first = terms.indexOf(layout.first);
  const inner = { term: new Int32Array(innerRows).fill(-1), counts: new Float64Array(innerRows) };
  const border = { term: new Int32Array(b).fill(-1), counts: new Float64Array(b) };
  rowsOfTerms(layout, terms).forEach(({ part, places }, k) => {
    if (part === "first") return;
    const rows = part === "inner" ? inner : border;
    places.forEach((place, l) => {
      rows.term[place] = k;
      rows.counts[place] = terms[k]?.counts[l] as number;
    });
  });
  const add = (one: number, other: number, squared: number, count: number) => {
    if (one < 0 || other < 0 || one === other) return;
    const row = spreads[one] as number[];
    row[other] = (row[other] as number) + squared / count;
  };
  const meet = (one: number, ones: number, other: number, others: number, count: number) => {
    add(one, other, count * count, ones);
    add(other, one, count * count, others);
  };

  let reciprocals = 0;
  for (const count of firstCounts) reciprocals += 1 / count;
  for (let column = 0; column < b; column++) {
    const usual = firstBorder.usual[column] as number;
    const [term, count] = [border.term[column] as number, border.counts[column] as number];
    add(first, term, usual * usual * reciprocals, 1);
    add(term, first, usual * usual * firstCounts.length, count);
  }
  for (let d = 0; d < firstCounts.length; d++) {
    const its = firstCounts[d] as number;
    for (let i = firstInner.starts[d] as number; i < (firstInner.starts[d + 1] as number); i++) {
      const row = firstInner.columns[i] as number;
      const count = firstInner.counts[i] as number;
      meet(first, its, inner.term[row] as number, inner.counts[row] as number, count);
    }
    for (let i = firstBorder.starts[d] as number; i < (firstBorder.starts[d + 1] as number); i++) {
      const column = firstBorder.columns[i] as number;
      const usual = firstBorder.usual[column] as number;
      const more = (usual + (firstBorder.differences[i] as number)) ** 2 - usual * usual;
      add(first, border.term[column] as number, more, its);
      add(border.term[column] as number, first, more, border.counts[column] as number);
    }
  }
  blocks.forEach(({ start, size }, h) => {
    for (let i = 0; i < size; i++)
      for (let j = 0; j < i; j++) {
        const count = innerInner[h]?.[i * size + j] as number;
        const [one, other] = [inner.term[start + i] as number, inner.term[start + j] as number];
        const [ones, others] = [inner.counts[start + i], inner.counts[start + j]] as [
          number,
          number,
        ];
        meet(one, ones, other, others, count);
      }
  });
  const walk = (table: Float64Array, rows: typeof inner, until: (row: number) => number) => {
    for (let row = 0; row < rows.term.length; row++)
      for (let j = 0; j < until(row); j++) {
        const count = table[row * b + j] as number;
        if (count === 0) continue;
        const [one, ones] = [rows.term[row] as number, rows.counts[row] as number];
        meet(one, ones, border.term[j] as number, border.counts[j] as number, count);
      }
  };
  walk(innerBorder, inner, () => b);
  walk(borderBorder, border, (row) => row);
  for (const k of terms.keys()) (spreads[k] as number[])[k] = n;
  return spreads;
}
