/**
 * The value below which this share lies, between neighbours by straight line.
 *
 * @param sorted lowest first, not empty. @param share 0–1.
 * @throws RangeError of nothing, or a share outside 0–1.
 * Source: Hyndman & Fan 1996, definition 7, doi:10.1080/00031305.1996.10473566.
 *
 * @example
 * percentile([1, 2, 3, 4], 0.5); // => 2.5
 */
export function percentile(sorted: readonly number[], share: number): number {
  if (sorted.length === 0) throw new RangeError("percentile: of nothing");
  if (!(share >= 0 && share <= 1)) throw new RangeError(`percentile: ${share} is no share`);
  const place = share * (sorted.length - 1);
  const low = sorted[Math.floor(place)] as number;
  const high = sorted[Math.ceil(place)] as number;
  return low + (high - low) * (place - Math.floor(place));
}
