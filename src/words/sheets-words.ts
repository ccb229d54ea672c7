import english from "./en/sheets.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** Looking through the sheets, choosing lines, releasing and printing; and what a printed page says around its own words. */
export const sheetsWords = wordArea("sheets", english);
