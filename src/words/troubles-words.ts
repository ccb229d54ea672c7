import english from "./en/troubles.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What a device cannot do, above whatever is on the screen. */
export const troublesWords = wordArea("troubles", english);
