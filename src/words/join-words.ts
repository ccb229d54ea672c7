import english from "./en/join.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** Asking to be let in. */
export const joinWords = wordArea("join", english);
