/** What moves a cursor, turns lines round, is half a letter or none that is seen: invisible in a name, and not what it seems where it is printed. Joiners, which some scripts need, are none of it. */
const harmful = /[\p{Cc}\p{Surrogate}\u061C\u200B\u200E\u200F\u2028-\u202E\u2060-\u206F\uFEFF]/u;
const every = new RegExp(harmful, "gu");

/**
 * A name or line of words as it may be shown anywhere: a blank in the place of each such letter, and none doubled for it.
 * @example
 * harmless("Ada\u001b[2J \u202eLind"); // => "Ada [2J Lind"
 */
export function harmless(text: string): string {
  return harmful.test(text) ? text.replace(every, " ").replace(/ {2,}/g, " ").trim() : text;
}

/** The same of words that may have several lines: those stay. */
export const harmlessLines = (text: string): string =>
  text
    .split(/\r\n|\n/)
    .map(harmless)
    .join("\n");

/** The same of every text in plain data. @returns the same object where nothing in it is harmful */
export function harmlessAll<Data>(data: Data): Data {
  const clean = eachText(data);
  return JSON.stringify(clean) === JSON.stringify(data) ? data : (clean as Data);
}
function eachText(data: unknown): unknown {
  if (typeof data === "string") return harmlessLines(data);
  if (Array.isArray(data)) return data.map(eachText);
  if (data === null || typeof data !== "object") return data;
  return Object.fromEntries(Object.entries(data).map(([key, value]) => [key, eachText(value)]));
}

/**
 * What is printed in a terminal, lines and all: each such letter as JSON writes it, so that it is seen, and JSON still says the same.
 * @example
 * escaped("a\u001bb\nc"); // => "a\\u001bb\nc"
 */
export function escaped(text: string): string {
  if (!harmful.test(text)) return text;
  return text.replace(every, (letter) =>
    letter === "\n" || letter === "\t" || letter === "\r"
      ? letter
      : `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
}
