import type { CandidateId } from "../../../core/identity.ts";
import type { BoardColumn, BoardProps, BoardRow } from "./board-data.ts";

export interface LaneState {
  column: BoardColumn;
  /** `open` while an asked cell is blank; a child not seen, or not asked anything, holds up no line. */
  state: "open" | "closed" | "not-seen" | "not-asked";
  /** Blank cells that a rest would fill. */
  blank: number;
  /** Rows from the first asked to the last; undefined where nothing is asked. */
  first: number | undefined;
  last: number | undefined;
}

type Asking<Row extends string> = Pick<BoardProps<Row>, "rows" | "isAsked">;

export const isAsked = <Row extends string>(
  { isAsked: narrower }: Asking<Row>,
  candidate: CandidateId,
  row: BoardRow<Row>,
): boolean => row.asked && (narrower?.(candidate, row.criterion) ?? true);

/** How far each child is marked, in the order of the columns. */
export function laneStates<Row extends string>(
  board: Asking<Row> & Pick<BoardProps<Row>, "columns" | "cell">,
): LaneState[] {
  return board.columns.map((column) => {
    const { candidate } = column;
    const asked = board.rows.flatMap((row, index) =>
      isAsked(board, candidate, row)
        ? [{ index, isBlank: board.cell(candidate, row.criterion) === undefined }]
        : [],
    );
    const blank = asked.filter(({ isBlank }) => isBlank).length;
    const state =
      asked.length === 0
        ? "not-asked"
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
