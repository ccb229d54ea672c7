import english from "./en/marking.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** The judge's screen around the board: calls, locks, swaps, notes. */
export const markingWords = wordArea("marking", english);
