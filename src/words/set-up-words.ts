import english from "./en/set-up.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** Planning a belt test. */
export const setUpWords = wordArea("set-up", english);
