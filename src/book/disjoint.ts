type Joined<Tables extends readonly object[]> = Tables extends readonly [
  infer First,
  ...infer Rest extends readonly object[],
]
  ? First & Joined<Rest>
  : unknown;

/**
 * Tables put together that have no key in common: whoever is spoken of in two would be spoken for by the later one, without a word.
 * @throws RangeError naming a key that two of them have
 */
export function disjoint<const Tables extends readonly object[]>(
  ...tables: Tables
): Joined<Tables> {
  const all: Record<string, unknown> = {};
  for (const table of tables)
    for (const [key, value] of Object.entries(table)) {
      if (Object.hasOwn(all, key)) throw new RangeError(`disjoint: ${key} stands in two tables`);
      all[key] = value;
    }
  return all as Joined<Tables>;
}
