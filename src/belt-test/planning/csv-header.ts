/** What is wrong with the first line of a CSV file: one of its columns, by name. */
export interface HeaderProblem {
  is: "missing" | "unknown" | "twice";
  column: string;
}

/**
 * Which cell of a row holds which column, by the names in the first line. Case and spaces around a name do not count, nor does a column without one; a spreadsheet
 * may put a byte order mark before the first.
 *
 * @param columns  names in small letters: those that must be there, those that may, and those that are passed over
 * @returns the problems, missing columns first; and the place of each column that is there, the first of two.
 */
export function csvHeader<Column extends string>(
  header: readonly string[],
  columns: {
    needed: readonly Column[];
    optional: readonly Column[];
    passedOver?: readonly string[];
  },
): { places: ReadonlyMap<Column, number>; problems: HeaderProblem[] } {
  const known = new Set<string>([...columns.needed, ...columns.optional]);
  const isColumn = (name: string): name is Column => known.has(name);
  const places = new Map<Column, number>();
  const problems: HeaderProblem[] = [];
  for (const [place, cell] of header.entries()) {
    const name = cell
      .replace(/^\uFEFF/, "")
      .trim()
      .toLowerCase();
    if (name === "" || columns.passedOver?.includes(name)) continue;
    if (!isColumn(name)) problems.push({ is: "unknown", column: name });
    else if (places.has(name)) problems.push({ is: "twice", column: name });
    else places.set(name, place);
  }
  const missing = columns.needed
    .filter((column) => !places.has(column))
    .map((column): HeaderProblem => ({ is: "missing", column }));
  return { places, problems: [...missing, ...problems] };
}
