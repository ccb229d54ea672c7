import english from "./en/candidate-form.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** Writing down one candidate: the chief's plan and the desk share it. */
export const candidateFormWords = wordArea("candidate-form", english);
