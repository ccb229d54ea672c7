/** Numbers that follow one another without a gap: the first and the last. */
export type Run = [first: number, last: number];

/**
 * Whole numbers as runs, lowest first: how a hub says in a few bytes which of a tablet's entries it has.
 * @param numbers  in any order, each as often as it likes
 *
 * @example
 * runsOf([1, 2, 3, 7, 8]); // => [[1, 3], [7, 8]]
 */
export function runsOf(numbers: Iterable<number>): Run[] {
  const runs: Run[] = [];
  for (const n of [...numbers].sort((a, b) => a - b)) {
    const last = runs.at(-1);
    if (last && n <= last[1] + 1) last[1] = Math.max(n, last[1]);
    else runs.push([n, n]);
  }
  return runs;
}

/**
 * Whether one of the runs holds the number.
 *
 * @example
 * isInRuns([[1, 3], [7, 8]], 5); // => false
 */
export const isInRuns = (runs: readonly Run[], n: number): boolean =>
  runs.some(([first, last]) => first <= n && n <= last);
