import english from "./en/panel.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** The page on which the chief examiner looks at the judges. */
export const panelWords = wordArea("panel", english);
