/** A rubric, the deepest of all that is written, is eight deep; another year's entry may be deeper. */
const DEEPEST = 32;

/**
 * Whether a JSON value is one that everything after may walk through without harm: at most 32 deep, and without the key
 * `__proto__`, which is a key like any other to JSON and something else to a program that copies it.
 *
 * A value thousands deep is read from text without trouble, and then breaks whoever walks it by calling itself.
 * Walks by a list of its own, so that it cannot break that way; takes time in proportion to the value's size.
 * @example
 * isPlainJson({ cells: [{ level: 3 }] }); // => true
 * isPlainJson(JSON.parse('{"__proto__":{}}')); // => false
 * isPlainJson(JSON.parse("[".repeat(40) + "]".repeat(40))); // => false
 */
export function isPlainJson(json: unknown): boolean {
  const open: { value: object; depth: number }[] = [];
  const look = (value: unknown, depth: number): boolean => {
    if (typeof value === "object" && value !== null) open.push({ value, depth });
    return depth <= DEEPEST;
  };
  look(json, 1);
  for (let next = open.pop(); next; next = open.pop()) {
    const { value, depth } = next;
    if (!Array.isArray(value) && Object.hasOwn(value, "__proto__")) return false;
    for (const inner of Object.values(value)) {
      const isFlat = typeof inner !== "object" || inner === null;
      if (!isFlat && !look(inner, depth + 1)) return false;
    }
  }
  return true;
}
