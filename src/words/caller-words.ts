import english from "./en/caller.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What the caller reads from three steps away. */
export const callerWords = wordArea("caller", english);
