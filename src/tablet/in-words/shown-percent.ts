/**
 * A percentage as it may be shown beside what it is compared with: with as many digits as it takes that a number below the limit never reads as the limit.
 *
 * @example
 * shownPercent(71.34, 60); // => "71.3"
 * shownPercent(34.99, 35); // => "34.99"
 */
export function shownPercent(percent: number, limit: number): string {
  for (const digits of [1, 2, 3, 4]) {
    const shown = Number(percent.toFixed(digits));
    if (shown < limit === percent < limit) return String(shown);
  }
  return String(percent);
}
