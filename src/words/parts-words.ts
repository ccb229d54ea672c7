import english from "./en/parts.json" with { type: "json" };
import { wordArea } from "./say.ts";

export const partsWords = wordArea("parts", english);
