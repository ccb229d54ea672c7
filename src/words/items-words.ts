import english from "./en/items.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** The teacher's page on techniques: what was hard, what the class missed. */
export const itemsWords = wordArea("items", english);
