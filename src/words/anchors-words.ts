import english from "./en/anchors.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** Agreed performances, and what earlier tests left of the judges. */
export const anchorsWords = wordArea("anchors", english);
