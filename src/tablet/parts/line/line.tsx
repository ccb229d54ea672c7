import { Board } from "./board.tsx";
import type { BoardProps } from "./board-data.ts";

/** Up to three children side by side: every criterion is a strip of levels in a fixed place, one tap to any level. One child alone, too. */
export function Line<Row extends string>(props: BoardProps<Row>) {
  return <Board form="strips" {...props} />;
}
