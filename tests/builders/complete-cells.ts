import type { MarkedCells } from "../../src/ratings/severity/composites.ts";

/** Everybody marked by every judge in every cell, cells of equal weight. */
export function completeCells(
  size: { candidates: number; judges: number; cells: number },
  level: (candidate: number, judge: number, cell: number) => number,
): MarkedCells {
  const { candidates, judges, cells } = size;
  const places = Array.from({ length: candidates * judges * cells }, (_, i) => ({
    candidate: Math.floor(i / (judges * cells)),
    judge: Math.floor(i / cells) % judges,
    cell: i % cells,
  }));
  return {
    judges,
    candidates,
    candidate: Int32Array.from(places, (one) => one.candidate),
    judge: Int32Array.from(places, (one) => one.judge),
    cell: Int32Array.from(places, (one) => one.cell),
    level: Float64Array.from(places, (one) => level(one.candidate, one.judge, one.cell)),
    weights: new Float64Array(cells).fill(1 / cells),
  };
}
