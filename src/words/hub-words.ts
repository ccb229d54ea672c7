import english from "./en/hub.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What the hub says in its terminal. */
export const hubWords = wordArea("hub", english);
