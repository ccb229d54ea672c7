import english from "./en/sheet.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What a candidate's page says around the school's own cues. Juniors' words read easily at nine. */
export const sheetWords = wordArea("sheet", english);
export type SheetKey = keyof typeof english;
