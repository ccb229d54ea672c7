import type { Interval } from "./interval.ts";

/** A goal and what was found, both in `unit`. */
export interface Goal {
  goal: string;
  /** The found value is to be at most, or at least, the limit. */
  side: "≤" | "≥";
  limit: number;
  unit: "%" | "points";
  found: Interval;
}

/**
 * Whether a goal was reached: by the value itself, or only in so far as its 95 % interval does not exclude the limit.
 * @example
 * const found = { value: 1.07, low: 0.69, high: 1.45 };
 * reached({ goal: "F4", side: "≤", limit: 1, unit: "points", found }) // => "within its error"
 */
export function reached({ side, limit, found }: Goal): "yes" | "within its error" | "no" {
  const { value, low, high } = found;
  if (side === "≤" ? value <= limit : value >= limit) return "yes";
  return (side === "≤" ? low <= limit : high >= limit) ? "within its error" : "no";
}
