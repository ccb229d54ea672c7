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
