/** A rubric, the deepest of all that is written, is eight deep; another year's entry may be deeper. */
const DEEPEST = 32;

/** Half of a pair: no text of Unicode, and no canonical form has it (RFC 8785, section 3.2.2.2; RFC 7493, section 2.1). */
const lone = /\p{Surrogate}/u;

/**
 * Whether a JSON value is one that everything after may walk through, and write down, without harm: at most 32 deep, without the key
 * `__proto__`, which is a key like any other to JSON and something else to a program that copies it, and with a canonical form (RFC 8785):
 * no number beyond a double, which `1e400` is read as, and no half of a surrogate pair.
 *
 * A value thousands deep is read from text without trouble, and then breaks whoever walks it by calling itself.
 * Walks by a list of its own, so that it cannot break that way; takes time in proportion to the value's size.
 * @example
 * isPlainJson({ cells: [{ level: 3 }] }); // => true
 * isPlainJson(JSON.parse('{"__proto__":{}}')); // => false
 * isPlainJson(JSON.parse("[".repeat(40) + "]".repeat(40))); // => false
 * isPlainJson(JSON.parse('{"at":1e400}')); // => false
 * isPlainJson("\ud800"); // => false
 */
export const isPlainJson = (json: unknown): boolean => isHarmless(json, (text) => !lone.test(text));

/** The same, but that texts may hold half a letter: hubs of before wrote such down, and it harms nobody who reads it. */
export const isReadableJson = (json: unknown): boolean => isHarmless(json, () => true);

function isHarmless(json: unknown, isText: (text: string) => boolean): boolean {
  const open: { value: object; depth: number }[] = [];
  const look = (value: unknown, depth: number): boolean => {
    if (typeof value === "number") return Number.isFinite(value);
    if (typeof value === "string") return isText(value);
    if (typeof value !== "object" || value === null) return true;
    open.push({ value, depth });
    return depth <= DEEPEST;
  };
  if (!look(json, 1)) return false;
  for (let next = open.pop(); next; next = open.pop()) {
    const { value, depth } = next;
    if (!Array.isArray(value))
      for (const key of Object.keys(value)) if (key === "__proto__" || !isText(key)) return false;
    for (const inner of Object.values(value)) if (!look(inner, depth + 1)) return false;
  }
  return true;
}
