import english from "./en/kept.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What is kept of a belt test: copies of the hub, names and texts. */
export const keptWords = wordArea("kept", english);
