import english from "./en/own.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** A judge's page about their own marking. */
export const ownWords = wordArea("own", english);
