/** A mean over replicates with its 95 % interval. */
export interface Interval {
  value: number;
  low: number;
  high: number;
}

/** Mean ± 1.96 standard errors of values that belong to one replicate each: whatever hangs together within a day is in it. */
export function meanInterval(values: ArrayLike<number>): Interval {
  const n = values.length;
  let sum = 0;
  for (let i = 0; i < n; i++) sum += values[i] as number;
  const value = sum / n;
  let squares = 0;
  for (let i = 0; i < n; i++) squares += ((values[i] as number) - value) ** 2;
  const half = 1.96 * Math.sqrt(squares / (n * Math.max(1, n - 1)));
  return { value, low: value - half, high: value + half };
}

/** Paired: a minus b, replicate by replicate. */
export const differenceInterval = (a: ArrayLike<number>, b: ArrayLike<number>): Interval =>
  meanInterval(Float64Array.from(a, (value, i) => value - (b[i] as number)));

/**
 * The ratio of two sums over replicates, paired.
 * Source: Cochran 1977, Sampling Techniques, section 6.3 (ratio estimate, linearised variance).
 */
export function ratioInterval(above: ArrayLike<number>, below: ArrayLike<number>): Interval {
  const n = above.length;
  const [a, b] = [meanInterval(above).value, meanInterval(below).value];
  const ratio = a / b;
  const { low, high } = meanInterval(
    Float64Array.from({ length: n }, (_, i) => (above[i] as number) - ratio * (below[i] as number)),
  );
  const half = (high - low) / 2 / Math.abs(b);
  return { value: ratio, low: ratio - half, high: ratio + half };
}
