import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { modifiedZ } from "../../../src/ratings/modified-z.ts";
import { cochranC, cochranCritical } from "../../../src/ratings/outliers/cochran-c.ts";
import { generalizedEsd } from "../../../src/ratings/outliers/generalized-esd.ts";
import { grubbs, grubbsCritical } from "../../../src/ratings/outliers/grubbs.ts";
import { mandel, mandelHCritical, mandelKCritical } from "../../../src/ratings/outliers/mandel.ts";
import { trimmedMean } from "../../../src/ratings/outliers/trimmed-mean.ts";
import { reference } from "../../reference/statistics/reference.ts";

interface GrubbsSet {
  data: { values: number[] };
  expected: {
    G_max: number;
    p_value_one_sided: number;
    critical_values: {
      n: number;
      one_sided_05: number;
      one_sided_01: number;
      two_sided_05: number;
    }[];
    modified_z: { values: number[] };
  };
}

describe("Grubbs' test", () => {
  // NIST/SEMATECH e-Handbook 1.3.5.17.1; R's outliers 0.15.
  const { data, expected } = reference<GrubbsSet>("grubbs-nist.json");
  it("[P21] finds the handbook's outlier", () => {
    const found = grubbs(data.values, 0.05, "highest");
    expect(found).toMatchObject({ isOutlier: true, suspect: 7 });
    if ("reason" in found) throw new Error(found.reason);
    expect(found.g).toBeCloseTo(expected.G_max, 9);
    expect(found.p / expected.p_value_one_sided).toBeCloseTo(1, 5);
  });
  it.each(expected.critical_values)("[P21] critical values of $n", ({ n, ...wanted }) => {
    expect(grubbsCritical(n, 0.05, "highest")).toBeCloseTo(wanted.one_sided_05, 9);
    expect(grubbsCritical(n, 0.01, "lowest")).toBeCloseTo(wanted.one_sided_01, 9);
    expect(grubbsCritical(n, 0.05, "two-sided")).toBeCloseTo(wanted.two_sided_05, 9);
  });
  it("[P21] the modified z of the same values", () => {
    modifiedZ(data.values).forEach((z, i) => {
      expect(z).toBeCloseTo(expected.modified_z.values[i] as number, 9);
    });
  });
  it("[P14] shift, scale and mirror leave G alone", () => {
    const values = fc.array(fc.integer({ min: -40, max: 40 }), { minLength: 3, maxLength: 12 });
    fc.assert(
      fc.property(values, fc.integer({ min: -9, max: 9 }), (some, by) => {
        const [plain, moved] = [grubbs(some), grubbs(some.map((x) => -3 * x + by))];
        if ("reason" in plain) expect(moved).toEqual(plain);
        else expect("g" in moved && moved.g).toBeCloseTo(plain.g, 9);
      }),
    );
  });
  it("[P12] says why there is no test", () => {
    expect(grubbs([1, 2])).toEqual({ reason: "too-few-values" });
    expect(grubbs([0.1, 0.1, 0.1])).toEqual({ reason: "all-equal" });
    expect(() => grubbs([1, 2, Number.NaN])).toThrow(RangeError);
    // As far away as three values allow: p is 0 but for the last binary digit.
    const furthest = grubbs([0, 0, 9]);
    expect("p" in furthest && furthest.p).toBeLessThan(1e-6);
  });
});

describe("generalized ESD", () => {
  const set = reference<{ values: number[]; r: number[]; critical: number[]; outliers: number }>(
    "esd-rosner.json",
  );
  it("[P22] Rosner's 54 values: three outliers, each step as printed", () => {
    const found = generalizedEsd(set.values, 10);
    if ("reason" in found) throw new Error(found.reason);
    // Printed cut off after three decimals, not rounded.
    found.steps.forEach(({ r, critical }, i) => {
      expect(Math.abs(r - (set.r[i] as number))).toBeLessThan(1e-3);
      expect(Math.abs(critical - (set.critical[i] as number))).toBeLessThan(1e-3);
    });
    expect(found.outliers.map((place) => set.values[place])).toEqual([6.01, 5.42, 5.34]);
  });
  it("[P12] stops where nothing is left to compare", () => {
    expect(generalizedEsd([1, 2], 1)).toEqual({ reason: "too-few-values" });
    expect(generalizedEsd([2, 2, 2, 2], 2)).toEqual({ reason: "all-equal" });
    const found = generalizedEsd([1, 1, 1, 1, 5], 4);
    expect("steps" in found && found.steps.length).toBe(1);
    expect(() => generalizedEsd([1, 2, 3], 0)).toThrow(RangeError);
  });
});

describe("Mandel's h and k, Cochran's C", () => {
  const iso = reference<{
    replicates: number[];
    rows: { judges: number; h: number; k: number[] }[];
  }>("mandel-iso5725.json");
  it.each(iso.rows)(
    "[P23] critical values at 1 % for $judges judges as ISO 5725-2 prints them",
    ({ judges, h, k }) => {
      expect(Math.abs(mandelHCritical(judges, 0.01) - h)).toBeLessThan(0.011);
      k.forEach((wanted, i) => {
        expect(
          Math.abs(mandelKCritical(judges, iso.replicates[i] as number, 0.01) - wanted),
        ).toBeLessThan(0.011);
      });
    },
  );
  it.each([
    // ISO 5725-2:1994, table 4, five and one per cent (recalled from memory).
    [4, 2, 0.906, 0.968],
    [6, 3, 0.616, 0.722],
    [9, 2, 0.638, 0.754],
    [10, 5, 0.331, 0.393],
  ])("[P23] Cochran's critical values for %i judges with %i marks", (judges, n, at5, at1) => {
    expect(Math.abs(cochranCritical(judges, n, 0.05) - at5)).toBeLessThan(0.0011);
    expect(Math.abs(cochranCritical(judges, n, 0.01) - at1)).toBeLessThan(0.0011);
  });
  it("[P23] h sums to 0, k² averages to 1, and one steady judge has k 0", () => {
    const groups = [
      [25, 26],
      [24, 24],
      [27, 30],
      [25.5, 25],
    ];
    const { judges, within, between, both } = mandel(groups);
    expect(judges.reduce((sum, { h }) => sum + (h ?? 0), 0)).toBeCloseTo(0, 12);
    expect(judges.reduce((sum, { k }) => sum + (k ?? 0) ** 2, 0) / 4).toBeCloseTo(1, 12);
    expect(judges[1]?.k).toBe(0);
    // Worked by hand: variances .5, 0, 4.5, .125 → within 1.28125; means' variance 3.640625 (sum of squares 10.921875 / 3) less half of that.
    expect(within).toBeCloseTo(1.28125, 12);
    expect(between).toBeCloseTo(10.921875 / 3 - 1.28125 / 2, 12);
    expect(both).toBeCloseTo((within ?? 0) + (between ?? 0), 12);
    expect(cochranC(groups)).toMatchObject({ c: expect.closeTo(4.5 / 5.125, 12), suspect: 2 });
  });
  it("[P12] says why there is no figure", () => {
    expect(cochranC([[1, 2]])).toEqual({ reason: "too-few-values" });
    expect(cochranC([[1], [2]])).toEqual({ reason: "too-few-values" });
    expect(cochranC([[1, 2], [2]])).toEqual({ reason: "replicates-differ" });
    expect(
      cochranC([
        [1, 1],
        [2, 2],
      ]),
    ).toEqual({ reason: "all-equal" });
    expect(
      cochranC([
        [1, 1],
        [2, 3],
      ]),
    ).toMatchObject({ c: 1, p: 0 });
    expect(mandel([[1], [2], [4]])).toMatchObject({ within: null, critical: { k: null } });
    expect(
      mandel([
        [1, 1],
        [1, 1],
        [1, 1],
      ]).judges[0],
    ).toMatchObject({ h: null, k: null });
    expect(
      mandel([
        [1, 2],
        [3, 4],
      ]).judges[0]?.h,
    ).toBeNull();
    expect(() => mandel([[], [1]])).toThrow(RangeError);
  });
});

describe("trimmed mean", () => {
  it("[P24] drops by position: of tied extremes only one each", () => {
    // Worked by hand.
    expect(trimmedMean([8, 8, 8, 9, 7], 1)).toBe(8);
    expect(trimmedMean([7, 7, 7, 9, 9], 1)).toBeCloseTo(23 / 3, 12);
    expect(trimmedMean([1, 2], 1)).toBeNull();
    expect(() => trimmedMean([1, 2, 3], 0.5)).toThrow(RangeError);
    expect(() => trimmedMean([1, Number.NaN, 3], 1)).toThrow(RangeError);
  });
});
