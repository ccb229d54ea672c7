import { greatestCommonDivisor, type Rational } from "./rational.ts";

/** The least whole number that every one of these, times it, is whole. */
export function commonDenominator(numbers: readonly Rational[]): bigint {
  return numbers.reduce((all, { d }) => (all * d) / greatestCommonDivisor(all, d), 1n);
}

/** The same ratios in whole numbers. */
export function wholes(numbers: readonly Rational[]): bigint[] {
  const denominator = commonDenominator(numbers);
  return numbers.map(({ n, d }) => (n * denominator) / d);
}
