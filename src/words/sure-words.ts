import english from "./en/sure.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** How sure a result is, and the fewest marks that would make it another. */
export const sureWords = wordArea("sure", english);
