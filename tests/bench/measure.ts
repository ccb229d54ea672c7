/** One line of the table. `goal` in the same unit as `value`, lower is better; absent where none is set. */
export interface Measured {
  what: string;
  value: number;
  unit: string;
  goal?: number;
  /** What it was compared with, or how it was taken. */
  how: string;
}

/** The value below which this share of the numbers lies (nearest rank). */
export function percentile(numbers: readonly number[], share: number): number {
  const sorted = [...numbers].sort((a, b) => a - b);
  const rank = Math.max(0, Math.ceil(share * sorted.length) - 1);
  const value = sorted[rank];
  if (value === undefined) throw new RangeError("percentile: no numbers");
  return value;
}
export const median = (numbers: readonly number[]): number => percentile(numbers, 0.5);

/** Milliseconds that `work` takes. */
export function took(work: () => unknown): number {
  const start = performance.now();
  work();
  return performance.now() - start;
}
