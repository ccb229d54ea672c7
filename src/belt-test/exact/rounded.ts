import { over, type Rational, rational, times } from "./rational.ts";

export type RoundingMode = "half-up" | "half-even" | "down";

/**
 * The multiple of `to` that a number is rounded to.
 *
 * `half-up`: the nearer multiple, the upper one of two equally near. `half-even`: then the even multiple. `down`: the one below or equal.
 * Exact throughout, so 59.95 to a tenth is 60 half-up, whatever binary thinks of it.
 *
 * @throws RangeError if `to` is not above 0.
 * @example
 * toNumber(rounded(fromDecimal(59.95), fromDecimal(0.1), "half-up")); // => 60
 * toNumber(rounded(fromDecimal(59.95), fromDecimal(0.1), "down")); // => 59.9
 * toNumber(rounded(fromDecimal(2.5), fromDecimal(1), "half-even")); // => 2
 */
export function rounded(value: Rational, to: Rational, mode: RoundingMode): Rational {
  if (to.n <= 0n) throw new RangeError(`rounded: to a multiple of ${to.n}/${to.d}`);
  const { n, d } = over(value, to);
  const below = n >= 0n ? n / d : -((-n + d - 1n) / d);
  const twiceTheRest = 2n * (n - below * d);
  const goesUp =
    mode !== "down" &&
    (twiceTheRest > d || (twiceTheRest === d && (mode === "half-up" || below % 2n !== 0n)));
  return times(rational(goesUp ? below + 1n : below), to);
}
