import english from "./en/desk.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** Checking candidates in. */
export const deskWords = wordArea("desk", english);
