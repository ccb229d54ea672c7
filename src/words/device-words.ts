import english from "./en/device.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What this device's browser can do, and what it keeps. */
export const deviceWords = wordArea("device", english);
