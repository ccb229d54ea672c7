import { Board } from "./board.tsx";
import type { BoardProps } from "./board-data.ts";

/** Four to six children, or large targets for any number: left of the line one tap is the nearest level below, each further tap one lower; right of it, above. */
export function Cells<Row extends string>(props: BoardProps<Row>) {
  return <Board form="cells" {...props} />;
}
