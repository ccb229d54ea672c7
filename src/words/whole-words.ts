import english from "./en/whole.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** A candidate's whole test, judge by judge, on the chief examiner's page. */
export const wholeWords = wordArea("whole", english);
