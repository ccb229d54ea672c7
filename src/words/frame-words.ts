import english from "./en/frame.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What surrounds every role's screen: opening, waiting, stop, and the way around. */
export const frameWords = wordArea("frame", english);
