import english from "./en/candidate.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** One candidate before the chief examiner: result, reasons, questions, marks side by side. */
export const candidateWords = wordArea("candidate", english);
