import { compared, fromDecimal, over, type Rational, rational, times } from "../exact/rational.ts";
import type { Rubric } from "./rubric.ts";

/** The unrounded total that rounds to the pass mark. */
export interface PassLine {
  at: Rational;
  /** Whether `at` itself passes. */
  isPassing: boolean;
}

/**
 * Where the unrounded total starts to pass, so that passing is one comparison: total rounded ≥ mark, turned round.
 * @example
 * passLine({ mark: 60, rounding: { to: 0.1, mode: "half-up" } }); // => { at: { n: 1199n, d: 20n }, isPassing: true }
 */
export function passLine({ mark, rounding }: Rubric["pass"]): PassLine {
  const to = fromDecimal(rounding.to);
  const steps = over(fromDecimal(mark), to);
  const step = (steps.n + steps.d - 1n) / steps.d;
  const least = times(rational(step), to);
  if (rounding.mode === "down") return { at: least, isPassing: true };
  return {
    at: times(rational(2n * step - 1n, 2n), to),
    isPassing: rounding.mode === "half-up" || step % 2n === 0n,
  };
}

export const passes = (total: Rational, { at, isPassing }: PassLine): boolean => {
  const side = compared(total, at);
  return side > 0 || (side === 0 && isPassing);
};
