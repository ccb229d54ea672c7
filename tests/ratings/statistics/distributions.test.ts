import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  chiSquareAbove,
  fAbove,
  normalAbove,
  tAbove,
} from "../../../src/ratings/statistics/distributions.ts";
import {
  chiSquareExceededBy,
  fExceededBy,
  normalExceededBy,
  tExceededBy,
} from "../../../src/ratings/statistics/quantiles.ts";
import { type FromR, reference } from "../../reference/statistics/reference.ts";

const r = reference<FromR>("from-r.json");
const expectNear = (found: number, wanted: number, relative = 1e-11) =>
  expect(Math.abs(found - wanted)).toBeLessThanOrEqual(relative * Math.abs(wanted) + 1e-15);

describe("distributions", () => {
  // R's qf, qt, qchisq and qnorm, stored by regenerate.R.
  it.each(r.f)("[P11] F exceeded by $above with $df1, $df2 degrees", ({ above, df1, df2, q }) => {
    expectNear(fExceededBy(above, df1, df2), q);
    expectNear(fAbove(q, df1, df2), above);
  });
  it.each(r.t)("[P11] t exceeded by $above with $df degrees", ({ above, df, q }) => {
    expectNear(tExceededBy(above, df), q);
    expectNear(tAbove(q, df), above);
  });
  it.each(r.chi2)("[P11] chi-square exceeded by $above with $df degrees", ({ above, df, q }) => {
    expectNear(chiSquareExceededBy(above, df), q);
    expectNear(chiSquareAbove(q, df), above);
  });
  it.each(r.normal)("[P11] the normal value exceeded by $above", ({ above, q }) => {
    expectNear(normalExceededBy(above), q);
    expectNear(normalAbove(q), above);
  });

  it("[P11] a tail and its mirror make one, and tails fall", () => {
    const number = fc.double({ min: -30, max: 30, noNaN: true });
    const df = fc.double({ min: 0.5, max: 300, noNaN: true });
    fc.assert(
      fc.property(number, number, df, df, (x, y, df1, df2) => {
        const [low, high] = x < y ? [x, y] : [y, x];
        expect(tAbove(x, df1) + tAbove(-x, df1)).toBeCloseTo(1, 12);
        expect(tAbove(high, df1)).toBeLessThanOrEqual(tAbove(low, df1) + 1e-14);
        expect(fAbove(high, df1, df2)).toBeLessThanOrEqual(fAbove(low, df1, df2) + 1e-14);
        const ratio = Math.abs(x) + 0.01;
        expect(fAbove(ratio, df1, df2) + fAbove(1 / ratio, df2, df1)).toBeCloseTo(1, 11);
      }),
    );
  });

  it("[P12] refuses NaN and impossible degrees of freedom", () => {
    expect(() => fAbove(Number.NaN, 1, 1)).toThrow(RangeError);
    expect(() => tAbove(1, 0)).toThrow(RangeError);
    expect(() => chiSquareAbove(1, Number.NaN)).toThrow(RangeError);
    expect(() => normalAbove(Number.NaN)).toThrow(RangeError);
    for (const above of [0, 1, Number.NaN]) {
      expect(() => fExceededBy(above, 1, 1)).toThrow(RangeError);
      expect(() => normalExceededBy(above)).toThrow(RangeError);
    }
  });
});
