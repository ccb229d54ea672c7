import english from "./en/settings.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** How a device shows things. */
export const settingsWords = wordArea("settings", english);
