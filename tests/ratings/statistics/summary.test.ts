import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { oneWayAnova } from "../../../src/ratings/statistics/one-way-anova.ts";
import { summary } from "../../../src/ratings/statistics/summary.ts";
import { reference } from "../../reference/statistics/reference.ts";

/** Digits that agree: NIST's own measure of software. */
const digits = (found: number | null | undefined, certified: number) =>
  found === certified
    ? 15
    : -Math.log10(Math.abs((found ?? Number.NaN) - certified) / Math.abs(certified));

/** First value, then the two neighbours in turn, as NIST made NumAcc and SmLs: written as decimals, so they are what the files hold. */
const around = (first: string, low: string, high: string, n: number) =>
  [first, ...Array.from({ length: n - 1 }, (_, i) => (i % 2 ? high : low))].map(Number);

describe("univariate summaries", () => {
  // NIST StRD, univariate: certified values (recalled from memory; the sets are made by rule).
  it.each([
    {
      name: "NumAcc1",
      values: [10000001, 10000003, 10000002],
      mean: 10000002,
      sd: 1,
      lag: -0.5,
      least: [15, 15, 15],
    },
    {
      name: "NumAcc2",
      values: around("1.2", "1.1", "1.3", 1001),
      mean: 1.2,
      sd: 0.1,
      lag: -0.999,
      least: [14, 14, 14],
    },
    // Their decimals are not binary: no double holds more digits of the spread than these.
    {
      name: "NumAcc3",
      values: around("1000000.2", "1000000.1", "1000000.3", 1001),
      mean: 1000000.2,
      sd: 0.1,
      lag: -0.999,
      least: [14, 9, 9],
    },
    {
      name: "NumAcc4",
      values: around("10000000.2", "10000000.1", "10000000.3", 1001),
      mean: 10000000.2,
      sd: 0.1,
      lag: -0.999,
      least: [14, 8, 8],
    },
  ])("[P13] $name to the digits its numbers allow", ({ values, mean, sd, lag, least }) => {
    const found = summary(values);
    expect(digits(found?.mean, mean)).toBeGreaterThanOrEqual(least[0] ?? 0);
    expect(digits(found?.sd, sd)).toBeGreaterThanOrEqual(least[1] ?? 0);
    expect(digits(found?.lagOne, lag)).toBeGreaterThanOrEqual(least[2] ?? 0);
  });

  it("[P14] shift and scale move mean and spread with them; the order does not matter to either", () => {
    const values = fc.array(fc.integer({ min: -50, max: 50 }), { minLength: 2, maxLength: 40 });
    fc.assert(
      fc.property(
        values,
        fc.integer({ min: -9, max: 9 }),
        fc.integer({ min: 1, max: 8 }),
        (some, by, times) => {
          const [plain, moved] = [
            summary(some),
            summary(some.map((x) => x * times + by).reverse()),
          ];
          expect(moved?.mean).toBeCloseTo((plain?.mean ?? 0) * times + by, 9);
          expect(moved?.sd).toBeCloseTo((plain?.sd ?? 0) * times, 9);
        },
      ),
    );
  });

  it("[P12] says nothing of nothing, no spread of one, and refuses NaN", () => {
    expect(summary([])).toBeNull();
    expect(summary([4])).toEqual({ n: 1, mean: 4, sd: null, min: 4, max: 4, lagOne: null });
    expect(summary([0.1, 0.1, 0.1])?.lagOne).toBeNull();
    expect(() => summary([1, Number.NaN])).toThrow(RangeError);
    expect(() => summary([1, Infinity])).toThrow(RangeError);
  });
});

interface Certified {
  data: { groups: number[][] };
  expected: { certified: Record<string, number> };
}

describe("one-way analysis of variance", () => {
  it("[P13] SiRstv as certified by NIST, to nine digits", () => {
    const { data, expected } = reference<Certified>("anova-sirstv.json");
    const found = oneWayAnova(data.groups);
    const { certified } = expected;
    expect(digits(found?.f, certified.F ?? 0)).toBeGreaterThan(9);
    expect(digits(found?.between.ss, certified.between_ss ?? 0)).toBeGreaterThan(9);
    expect(digits(found?.within.ss, certified.within_ss ?? 0)).toBeGreaterThan(9);
    expect(digits(found?.rSquared, certified.r_squared ?? 0)).toBeGreaterThan(9);
    expect(digits(found?.residualSd, certified.residual_sd ?? 0)).toBeGreaterThan(9);
    expect([found?.between.df, found?.within.df]).toEqual([4, 20]);
    expect(found?.p).toBeCloseTo(0.34944749340223463, 10);
  });

  // NIST StRD, SmLs01, 04 and 07: F = 21, sums of squares 1.68 and 1.80 (recalled from memory; made by rule: nine groups of 21 around .4, .3, .5, …).
  it.each([
    ["SmLs01", "1", 12],
    ["SmLs04", "1000000", 8],
    // One digit of the data is beyond a double: 1000000000000.4 is off by .00002.
    ["SmLs07", "1000000000000", 2.5],
  ])("[P13] %s keeps its digits far from zero", (_, base, least) => {
    const groups = Array.from({ length: 9 }, (_group, i) => {
      const tenths = i === 0 ? 4 : i % 2 ? 3 : 5;
      const text = (d: number) => `${base}.${tenths + d}`;
      return around(text(0), text(-1), text(1), 21);
    });
    const found = oneWayAnova(groups);
    expect(digits(found?.f, 21)).toBeGreaterThan(least as number);
    expect(digits(found?.between.ss, 1.68)).toBeGreaterThan(least as number);
    expect(digits(found?.within.ss, 1.8)).toBeGreaterThan(least as number);
  });

  it("[P12] says why not: one group, single values, nothing varies", () => {
    expect(oneWayAnova([[1, 2]])).toBeNull();
    expect(oneWayAnova([[1], [2]])).toBeNull();
    expect(
      oneWayAnova([
        [1, 1],
        [2, 2],
      ])?.f,
    ).toBeNull();
    expect(() =>
      oneWayAnova([
        [1, Number.NaN],
        [2, 2],
      ]),
    ).toThrow(RangeError);
  });
});
