import english from "./en/board.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** The chief examiner's board: the panel, the line so far, open questions. */
export const boardWords = wordArea("board", english);
