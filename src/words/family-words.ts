import english from "./en/family.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** A sheet read at home by a link, and the chief making that link. */
export const familyWords = wordArea("family", english);
