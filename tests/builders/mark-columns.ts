import type { MarkColumns } from "../../src/ratings/components/term.ts";

/** Rows of named levels as columns; levels in sorted order. */
export function markColumns<Name extends string>(
  rows: readonly (Record<Name, string | number> & { mark: number })[],
  names: readonly Name[],
): MarkColumns & { levels: Record<Name, string[]> } {
  const levels = {} as Record<Name, string[]>;
  const factors = new Map(
    names.map((name) => {
      const all = [...new Set(rows.map((row) => String(row[name])))].sort();
      levels[name] = all;
      const codes = Int32Array.from(rows, (row) => all.indexOf(String(row[name])));
      return [name as string, { levels: all.length, codes }];
    }),
  );
  return { marks: Float64Array.from(rows, ({ mark }) => mark), factors, levels };
}
