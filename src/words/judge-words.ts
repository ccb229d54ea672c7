import english from "./en/judge.json" with { type: "json" };
import { wordArea } from "./say.ts";

export const judgeWords = wordArea("judge", english);
