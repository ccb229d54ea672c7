import type { BoardLayout } from "./board-layout.ts";

export interface Target {
  column: number;
  row: number;
  /** Which target of the lane, counted from its left: a level less one on a strip; 0 or 1, below or above, on a two-sided cell. */
  zone: number;
}

/** The target under a point of the board, or null: heads, words, name strips and the gaps between lanes mark nothing. */
export function hit(
  layout: BoardLayout,
  rows: number,
  point: { x: number; y: number },
): Target | null {
  const column = layout.lanes.findIndex((lane) => {
    const x = point.x - lane.left;
    const y = point.y - (layout.ranks[lane.rank] ?? 0) - layout.rowsTop;
    return (
      x >= (layout.bounds[0] ?? 0) &&
      x < (layout.bounds.at(-1) ?? 0) &&
      y >= 0 &&
      y < rows * layout.rowHeight
    );
  });
  const lane = layout.lanes[column];
  if (!lane) return null;
  const down = point.y - (layout.ranks[lane.rank] ?? 0) - layout.rowsTop;
  const row = Math.floor(down / layout.rowHeight);
  if (down - row * layout.rowHeight < layout.nameHeight) return null;
  const x = point.x - lane.left;
  const zone = layout.bounds.findIndex((bound, index) => index > 0 && x < bound) - 1;
  return { column, row, zone };
}

export const sameTarget = (a: Target | null, b: Target | null): boolean =>
  a !== null && b !== null && a.column === b.column && a.row === b.row && a.zone === b.zone;
