import type { BoardCell } from "./board-cells.ts";
import type { BoardColumn } from "./board-data.ts";

export interface LaneState {
  column: BoardColumn;
  /** `open` while an asked cell is blank; a child not seen, or not asked anything, holds up no line. */
  state: "open" | "closed" | "not-seen" | "not-asked" | "locked";
  /** Blank cells that a rest would fill. */
  blank: number;
  /** Rows from the first asked to the last; undefined where nothing is asked. */
  first: number | undefined;
  last: number | undefined;
}

/** How far each child is marked, in the order of the columns. */
export function laneStates(
  columns: readonly BoardColumn[],
  cells: readonly (readonly BoardCell[])[],
): LaneState[] {
  return columns.map((column, at) => {
    const asked = cells.flatMap((row, index) => {
      const cell = row[at];
      return cell?.asked ? [{ index, isBlank: cell.level === undefined }] : [];
    });
    const blank = asked.filter(({ isBlank }) => isBlank).length;
    const state =
      asked.length === 0
        ? "not-asked"
        : column.locked
          ? "locked"
          : column.notSeen
            ? "not-seen"
            : blank === 0
              ? "closed"
              : "open";
    return {
      column,
      state,
      blank: state === "open" ? blank : 0,
      first: asked[0]?.index,
      last: asked.at(-1)?.index,
    };
  });
}
