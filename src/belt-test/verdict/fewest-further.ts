/** A section that could be repeated, in whole numbers of one denominator each. */
export interface Choice {
  /** What repeating it adds to the total. */
  gain: bigint;
  score: bigint;
}

/**
 * The fewest of some sections whose gains together are enough; of equally few those with the smallest sum of scores; of equal sums those that come first.
 *
 * How many is known from the largest gains alone; which is looked for depth first, cut off where the gains left cannot be enough or the smallest scores left are too many.
 * Exponential at worst: 16 sections, the most a rubric has, are 12,870 ways.
 *
 * @param choices in the rubric's order. @returns places in `choices`, rising; null where all together are not enough.
 *
 * @example
 * fewestFurther([{ gain: 2n, score: 10n }, { gain: 5n, score: 20n }], (gain) => gain >= 5n); // => [1]
 */
export function fewestFurther(
  choices: readonly Choice[],
  isEnough: (gain: bigint) => boolean,
): number[] | null {
  const largest = choices.map(({ gain }) => gain).sort((a, b) => (a < b ? 1 : a > b ? -1 : 0));
  let size = 0;
  let sum = 0n;
  while (!isEnough(sum)) {
    if (size === largest.length) return null;
    sum += largest[size++] as bigint;
  }

  let best: { places: number[]; score: bigint } | undefined;
  const bestOf = (from: number, count: number, by: (choice: Choice) => bigint): bigint =>
    choices
      .slice(from)
      .map(by)
      .sort((a, b) => (a < b ? -1 : a > b ? 1 : 0))
      .slice(0, count)
      .reduce((all, one) => all + one, 0n);
  const look = (from: number, places: number[], gain: bigint, score: bigint): void => {
    const open = size - places.length;
    if (choices.length - from < open) return;
    if (!isEnough(gain - bestOf(from, open, (one) => -one.gain))) return;
    // A later way with the same sum comes behind in the rubric's order.
    if (best && score + bestOf(from, open, (one) => one.score) >= best.score) return;
    if (open === 0) {
      best = { places, score };
      return;
    }
    const next = choices[from] as Choice;
    look(from + 1, [...places, from], gain + next.gain, score + next.score);
    look(from + 1, places, gain, score);
  };
  look(0, [], 0n, 0n);
  return best?.places ?? null;
}
