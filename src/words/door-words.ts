import english from "./en/door.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** Letting devices in. */
export const doorWords = wordArea("door", english);
