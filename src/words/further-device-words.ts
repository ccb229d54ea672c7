import english from "./en/further-device.json" with { type: "json" };
import { wordArea } from "./say.ts";

/** What a person is asked, and told, about a further tablet under their name. */
export const furtherDeviceWords = wordArea("further-device", english);
