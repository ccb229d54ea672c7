/**
 * The middle value; of an even number, halfway between the two in the middle.
 * @throws RangeError when there is no value, or one is not finite: NaN must never become a verdict.
 * @example
 * median([4, 1, 3]); // => 3
 * median([1, 2, 3, 4]); // => 2.5
 */
export function median(values: readonly number[]): number {
  if (values.length === 0) throw new RangeError("median: of nothing");
  const wrong = values.find((value) => !Number.isFinite(value));
  if (wrong !== undefined) throw new RangeError(`median: ${wrong} is not a finite number`);
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  const upper = sorted[middle] as number;
  return sorted.length % 2 ? upper : ((sorted[middle - 1] as number) + upper) / 2;
}
