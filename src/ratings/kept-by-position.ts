/**
 * Who stays when the highest and lowest are dropped by position after sorting: with ties only the stated number goes, never all equal ones.
 *
 * @param values one per judge, any unit.
 * @param drop how many go at each end.
 * @returns places in `values`, lowest value first; empty when everybody would go.
 * @throws RangeError if a value is not finite.
 * @example
 * keptByPosition([8, 8, 8, 9, 7], 1); // => [0, 1, 2]
 * keptByPosition([4, 1], 1); // => []
 */
export function keptByPosition(values: readonly number[], drop: number): number[] {
  const wrong = values.find((value) => !Number.isFinite(value));
  if (wrong !== undefined) throw new RangeError(`keptByPosition: ${wrong} is not a finite number`);
  return values
    .map((_, place) => place)
    .sort((a, b) => (values[a] as number) - (values[b] as number) || a - b)
    .slice(drop, Math.max(drop, values.length - drop));
}
