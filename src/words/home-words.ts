import english from "./en/home.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** The first page: what is on this device, and what can be begun. */
export const homeWords = wordArea("home", english);
