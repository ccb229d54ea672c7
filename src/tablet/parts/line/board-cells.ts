import type { CandidateId } from "../../../belt-test/identity.ts";
import type { BoardColumn, BoardProps, BoardRow, CellMark } from "./board-data.ts";

/** What one cell shows, as plain values. */
export interface BoardCell {
  asked: boolean;
  level: CellMark["level"] | undefined;
  how: CellMark["how"] | undefined;
  kept: boolean;
}

/** Every cell of the board, row by row, in the order of the columns. */
export function boardCells<Row extends string>(
  board: Pick<BoardProps<Row>, "isAsked" | "cell">,
  rows: readonly BoardRow<Row>[],
  columns: readonly BoardColumn[],
): BoardCell[][] {
  const isAsked = (candidate: CandidateId, row: BoardRow<Row>) =>
    row.asked && (board.isAsked?.(candidate, row.criterion) ?? true);
  return rows.map((row) =>
    columns.map(({ candidate }) => {
      const held = board.cell(candidate, row.criterion);
      return {
        asked: isAsked(candidate, row),
        level: held?.level,
        how: held?.how,
        kept: held?.kept ?? true,
      };
    }),
  );
}
