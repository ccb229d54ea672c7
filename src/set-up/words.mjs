import { readFileSync } from "node:fs";

const words = JSON.parse(
  readFileSync(new URL("../words/en/make-ready.json", import.meta.url), "utf8"),
);

/** Plain words for a time before anything is installed: holes are filled as they are. */
export function say(key, values = {}) {
  return words[key].replace(/\{(\w+)\}/g, (_hole, name) => String(values[name] ?? ""));
}

/** For a person to read while waiting; what a program reads goes to standard output. */
export const tell = (text) => process.stderr.write(`${text}\n`);
