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
 * @throws RangeError for no factor, or one that the columns do not have.
 * @example
 * const codes = (...given) => ({ codes: Int32Array.from(given), levels: 2 });
 * const factors = new Map([["judge", codes(0, 1, 0)], ["item", codes(1, 1, 1)]]);
 * [...termOf(["judge", "item"], { marks: new Float64Array(3), factors }).codes]; // => [0, 1, 0]
 */
export function termOf(names: readonly string[], { factors }: MarkColumns): Term {
  const parts = names.map((name) => {
    const factor = factors.get(name);
    if (!factor) throw new RangeError(`termOf: there is no factor ${name}`);
    return factor;
  });
  // Each pair of "so far" and "next" is numbered anew: small tables through an array, huge ones through a map.
  const [head, ...rest] = parts;
  if (!head) throw new RangeError("termOf: no factor");
  let [codes, levels] = rest.length === 0 ? paired(null, 1, head) : [head.codes, head.levels];
  for (const part of rest) [codes, levels] = paired(codes, levels, part);
  const counts = new Float64Array(levels);
  for (let i = 0; i < codes.length; i++) {
    const code = codes[i] as number;
    counts[code] = (counts[code] as number) + 1;
  }
  return { name: names.join(":"), factors: names, codes, levels, counts };
}

/** @param codes so far; `null`: all the same. */
function paired(codes: Int32Array | null, levels: number, next: Factor): [Int32Array, number] {
  const size = levels * next.levels;
  const width = next.levels;
  const given = next.codes;
  const result = new Int32Array(given.length);
  let used = 0;
  if (size <= 4_000_000) {
    const table = new Int32Array(size);
    for (let i = 0; i < result.length; i++) {
      const key = (codes ? (codes[i] as number) * width : 0) + (given[i] as number);
      let code = table[key] as number;
      // 0 is "not seen yet".
      if (code === 0) table[key] = code = ++used;
      result[i] = code - 1;
    }
    return [result, used];
  }
  const seen = new Map<number, number>();
  for (let i = 0; i < result.length; i++) {
    const key = (codes ? (codes[i] as number) * width : 0) + (given[i] as number);
    const code = seen.get(key) ?? used++;
    seen.set(key, code);
    result[i] = code;
  }
  return [result, used];
}
