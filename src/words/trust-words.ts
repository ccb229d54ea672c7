import english from "./en/trust.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** A tablet learning to trust the hub, and what it does without where it does not. */
export const trustWords = wordArea("trust", english);
