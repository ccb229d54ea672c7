import { type KeyboardEvent, type RefObject, useState } from "react";
import type { BoardForm } from "./board-layout.ts";
import { gridKey } from "./grid-keys.ts";

interface BoardKeys {
  board: RefObject<HTMLElement | null>;
  form: BoardForm;
  columns: number;
  rows: number;
  levels: number;
  flipped: boolean;
  scrolls: boolean;
  /** Undefined where the cell is not asked, or its child not seen. */
  cellAt: (
    column: number,
    row: number,
  ) =>
    | {
        isMarked: boolean;
        mark: (level: number | "not-seen" | "cleared") => void;
        notSeen: () => void;
      }
    | undefined;
  rest: () => void;
  undo: () => void;
}

/** The board by keyboard: one stop in the tab order, which the arrows move; figures mark. */
export function useBoardKeys(keys: BoardKeys): {
  /** The cell in the tab order. */
  stop: { column: number; row: number };
  onKeyDown: (event: KeyboardEvent<HTMLElement>) => void;
} {
  const { columns, rows } = keys;
  const [reached, reach] = useState({ column: 0, row: 0 });
  const stop = {
    column: Math.min(reached.column, columns - 1),
    row: Math.min(reached.row, rows - 1),
  };
  const onKeyDown = (event: KeyboardEvent<HTMLElement>) => {
    const key = gridKey(event, keys.levels, keys.flipped);
    if (!key) return;
    const focused = (event.target as HTMLElement).closest<HTMLElement>("[data-cell]");
    const [column = 0, row = 0] = (focused?.dataset.cell ?? "").split(" ").map(Number);
    if (!focused && key.kind !== "rest" && key.kind !== "undo") return;
    event.preventDefault();
    if (key.kind === "rest") keys.rest();
    else if (key.kind === "undo") keys.undo();
    else if (key.kind === "move") {
      const to = {
        column: Math.max(0, Math.min(columns - 1, column + key.column)),
        row: Math.max(0, Math.min(rows - 1, row + key.row)),
      };
      reach(to);
      keys.board.current
        ?.querySelector<HTMLElement>(`[data-cell="${to.column} ${to.row}"]`)
        ?.focus({ preventScroll: !keys.scrolls });
    } else {
      const cell = keys.cellAt(column, row);
      if (!cell) return;
      if (key.kind === "level") cell.mark(key.level);
      else if (key.kind === "not-seen")
        keys.form === "checklist" ? cell.mark("not-seen") : cell.notSeen();
      else if (cell.isMarked) cell.mark("cleared");
    }
  };
  return { stop, onKeyDown };
}
