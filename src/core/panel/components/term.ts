/** Marks as columns: a value for each mark, and for each factor which level it has. */
export interface MarkColumns {
  marks: Float64Array;
  /** By name of the factor (candidate, judge, …). */
  factors: ReadonlyMap<string, Factor>;
}
export interface Factor {
  /** Level of each mark, 0 to levels - 1. */
  codes: Int32Array;
  levels: number;
}

/** An effect: one factor, or several together (`candidate:judge`). Levels are numbered by first appearance of their marks. */
export interface Term extends Factor {
  name: string;
  factors: readonly string[];
  /** Marks of each level. */
  counts: Float64Array;
}

/**
 * The effect of one or more factors together, with only those levels that have marks.
 *
 * @param names factors, at least one. @param columns the marks.
 * @throws RangeError for a factor that the columns do not have.
 * @example
 * const codes = (...given) => ({ codes: Int32Array.from(given), levels: 2 });
 * const factors = new Map([["judge", codes(0, 1, 0)], ["item", codes(1, 1, 1)]]);
 * [...termOf(["judge", "item"], { marks: new Float64Array(3), factors }).codes]; // => [0, 1, 0]
 */
export function termOf(names: readonly string[], { marks, factors }: MarkColumns): Term {
  const parts = names.map((name) => {
    const factor = factors.get(name);
    if (!factor) throw new RangeError(`termOf: there is no factor ${name}`);
    return factor;
  });
  const size = parts.reduce((product, { levels }) => product * levels, 1);
  const codes = new Int32Array(marks.length);
  // Small tables are numbered through an array, huge ones through a map.
  const dense = size <= 4_000_000 ? new Int32Array(size).fill(-1) : null;
  const sparse = new Map<number, number>();
  let levels = 0;
  for (let i = 0; i < codes.length; i++) {
    let key = 0;
    for (const part of parts) key = key * part.levels + (part.codes[i] as number);
    let code = dense ? (dense[key] as number) : (sparse.get(key) ?? -1);
    if (code < 0) {
      code = levels++;
      if (dense) dense[key] = code;
      else sparse.set(key, code);
    }
    codes[i] = code;
  }
  const counts = new Float64Array(levels);
  for (const code of codes) counts[code] = (counts[code] as number) + 1;
  return { name: names.join(":"), factors: names, codes, levels, counts };
}
