import english from "./en/rubric-findings.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What `check` says of a rubric, by the finding's code: what is wrong and what to do. */
export const rubricFindingsWords = wordArea("rubric-findings", english);
