import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  asText,
  compared,
  fromDecimal,
  minus,
  over,
  plus,
  rational,
  times,
  toNumber,
} from "../../../src/belt-test/exact/rational.ts";
import { rounded } from "../../../src/belt-test/exact/rounded.ts";

const whole = fc.bigInt({ min: -(10n ** 12n), max: 10n ** 12n });
const fraction = fc
  .tuple(
    whole,
    whole.filter((d) => d !== 0n),
  )
  .map(([n, d]) => rational(n, d));

describe("exact fractions", () => {
  it("reads the decimal that was written, not its binary neighbour", () => {
    expect(asText(fromDecimal(33.3))).toBe("333/10");
    expect(asText(fromDecimal(0.1))).toBe("1/10");
    expect(asText(fromDecimal(1e-7))).toBe("1/10000000");
    expect(asText(fromDecimal(1e21))).toBe(`1${"0".repeat(21)}`);
    expect(asText(fromDecimal(-2.5))).toBe("-5/2");
    expect(() => fromDecimal(Number.NaN)).toThrow(RangeError);
    expect(() => fromDecimal(Number.POSITIVE_INFINITY)).toThrow(RangeError);
    expect(() => rational(1n, 0n)).toThrow(RangeError);
  });

  it("adds and takes away, multiplies and divides, and comes back to where it was", () => {
    fc.assert(
      fc.property(fraction, fraction, (a, b) => {
        expect(minus(plus(a, b), b)).toEqual(a);
        if (b.n !== 0n) expect(over(times(a, b), b)).toEqual(a);
      }),
    );
  });

  it("orders fractions as numbers are ordered", () => {
    fc.assert(
      fc.property(fraction, fraction, (a, b) => {
        expect(compared(a, b) + compared(b, a)).toBe(0);
        if (Math.abs(toNumber(a) - toNumber(b)) > 1e-3)
          expect(compared(a, b)).toBe(Math.sign(toNumber(a) - toNumber(b)));
      }),
    );
  });

  it("shows a fraction of very long numbers without losing it", () => {
    const big = 10n ** 400n;
    expect(toNumber(rational(2n * big + 1n, 3n * big))).toBeCloseTo(2 / 3, 15);
    expect(toNumber(rational(-1n, 3n))).toBeCloseTo(-1 / 3, 15);
  });
});

describe("rounding", () => {
  const round = (value: number, to: number, mode: "half-up" | "half-even" | "down") =>
    toNumber(rounded(fromDecimal(value), fromDecimal(to), mode));

  // Worked by hand; 59.95 and 1.005 are the classic victims of binary arithmetic.
  it.each([
    [59.95, 0.1, "half-up", 60],
    [59.95, 0.1, "half-even", 60],
    [59.85, 0.1, "half-even", 59.8],
    [59.95, 0.1, "down", 59.9],
    [1.005, 0.01, "half-up", 1.01],
    [2.5, 1, "half-even", 2],
    [3.5, 1, "half-even", 4],
    [62.4, 5, "half-up", 60],
    [62.5, 5, "half-up", 65],
    [-0.05, 0.1, "half-up", 0],
    [-0.01, 0.1, "down", -0.1],
  ] as const)("%d to a multiple of %d, %s, is %d", (value, to, mode, expected) => {
    expect(round(value, to, mode)).toBe(expected);
  });

  it("refuses to round to nothing", () => {
    expect(() => rounded(rational(1n), rational(0n), "down")).toThrow(RangeError);
  });
});
