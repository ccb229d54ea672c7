/**
 * The place of each value from the lowest, 1 first; equal values share the mean of their places.
 *
 * @returns the ranks in the order of the values, and Σ(t³ - t) over groups of t equal values, which tie corrections need.
 * @throws RangeError when one is not finite.
 * Source: Kendall 1948, Rank Correlation Methods, chapter 3 (mid-ranks).
 *
 * @example
 * ranks([10, 20, 10]); // => { ranks: [1.5, 3, 1.5], ties: 6 }
 */
export function ranks(values: readonly number[]): { ranks: number[]; ties: number } {
  const wrong = values.find((value) => !Number.isFinite(value));
  if (wrong !== undefined) throw new RangeError(`ranks: ${wrong} is not a finite number`);
  const order = values
    .map((_, i) => i)
    .sort((a, b) => (values[a] as number) - (values[b] as number));
  const result = new Array<number>(values.length).fill(0);
  let ties = 0;
  for (let start = 0; start < order.length; ) {
    let end = start + 1;
    while (end < order.length && values[order[end] as number] === values[order[start] as number])
      end++;
    const t = end - start;
    ties += t ** 3 - t;
    for (let i = start; i < end; i++) result[order[i] as number] = (start + 1 + end) / 2;
    start = end;
  }
  return { ranks: result, ties };
}
