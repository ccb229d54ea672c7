import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fleissKappa } from "../../../src/ratings/agreement/fleiss-kappa.ts";
import { iccForms, intraclass } from "../../../src/ratings/agreement/intraclass.ts";
import { kendallW } from "../../../src/ratings/agreement/kendall-w.ts";
import {
  alphaInterval,
  alphaMetrics,
  krippendorff,
} from "../../../src/ratings/agreement/krippendorff.ts";
import { meanSquares } from "../../../src/ratings/agreement/mean-squares.ts";
import type { PanelTable, Unsupported } from "../../../src/ratings/agreement/panel-table.ts";
import { sameMarks } from "../../../src/ratings/agreement/same-marks.ts";
import { crossTable, weightedKappa } from "../../../src/ratings/agreement/weighted-kappa.ts";
import { type FromR, panelRows, reference } from "../../reference/statistics/reference.ts";

/** The answer itself; a reason instead fails the test. */
function known<T extends object>(answer: T | Unsupported): T {
  if ("reason" in answer) throw new Error(`no answer: ${answer.reason}`);
  return answer;
}
const transposed = (table: PanelTable): PanelTable =>
  (table[0] ?? []).map((_, i) => table.map((row) => row[i] ?? null));
const r = reference<FromR>("from-r.json");
const complete: PanelTable = (() => {
  const rows = panelRows("complete");
  const names = (name: "candidate" | "judge") => [...new Set(rows.map((row) => row[name]))];
  return names("candidate").map((candidate) =>
    names("judge").map(
      (judge) =>
        rows.find((row) => row.candidate === candidate && row.judge === judge)?.mark ?? null,
    ),
  );
})();

interface IccSet {
  data: { ratings: number[][] };
  expected: {
    anova: Record<string, number>;
    forms: Record<string, Record<string, number>>;
    published_two_decimals: Record<string, number>;
  };
}
// Shrout & Fleiss 1979, table 2; psych 2.2.9, irr 0.84.1.
const icc = reference<IccSet>("icc-shrout-fleiss.json");

describe("intraclass correlation", () => {
  const found = known(intraclass(icc.data.ratings));
  it.each(iccForms)("[P15] %s of Shrout & Fleiss, with F, p and interval", (form) => {
    const wanted = icc.expected.forms[form] as Record<string, number>;
    const one = found.forms[form];
    expect(one.value).toBeCloseTo(wanted.icc as number, 9);
    expect(one.value).toBeCloseTo(icc.expected.published_two_decimals[form] as number, 2);
    expect(one.f).toBeCloseTo(wanted.F as number, 8);
    expect([one.df1, one.df2]).toEqual([wanted.df1, wanted.df2]);
    expect((one.p as number) / (wanted.p as number)).toBeCloseTo(1, 8);
    expect(one.low).toBeCloseTo(wanted.ci95_lower as number, 7);
    expect(one.high).toBeCloseTo(wanted.ci95_upper as number, 7);
    expect(one.reason).toBeNull();
  });
  it("[P15] the mean squares behind them", () => {
    const { anova } = icc.expected;
    const squares = meanSquares(icc.data.ratings);
    expect(squares.rows).toBeCloseTo(anova.MS_targets as number, 9);
    expect(squares.judges).toBeCloseTo(anova.MS_judges as number, 9);
    expect(squares.error).toBeCloseTo(anova.MS_error as number, 9);
    expect(squares.within).toBeCloseTo(anova.MS_within as number, 9);
  });
  // An invented panel of 12 × 4; psych::ICC, stored by regenerate.R.
  it.each(iccForms.map((form, i) => [form, i] as const))(
    "[P15] %s of a second panel as R has it",
    (form, i) => {
      const wanted = r.icc[i] as FromR["icc"][number];
      const one = known(intraclass(complete)).forms[form];
      for (const name of ["value", "f", "df1", "df2", "p", "low", "high"] as const)
        expect(one[name] as number, name).toBeCloseTo(wanted[name], 7);
    },
  );
  it("[P16] leaves out and counts what a judge did not mark", () => {
    const table = [...icc.data.ratings, [5, null, 5, 5], [null, null, null, null]];
    expect(known(intraclass(table))).toEqual({ ...found, leftOut: 2 });
  });
  it("[P12] says why there is no figure, never NaN", () => {
    expect(intraclass([])).toEqual({ reason: "no-marks" });
    expect(intraclass([[null, null]])).toEqual({ reason: "no-marks" });
    expect(intraclass([[1], [2]])).toEqual({ reason: "one-judge" });
    expect(intraclass([[1, 2]])).toEqual({ reason: "one-performance" });
    expect(
      intraclass([
        [1, null],
        [null, 2],
      ]),
    ).toEqual({ reason: "no-shared-performances" });
    expect(
      intraclass([
        [1, 2],
        [null, 2],
      ]),
    ).toEqual({ reason: "too-few-complete" });
    const equal = known(
      intraclass([
        [3, 3],
        [3, 3],
        [3, 3],
      ]),
    ).forms;
    for (const form of iccForms)
      expect(equal[form]).toMatchObject({ value: null, reason: "all-equal" });
    const perfect = known(
      intraclass([
        [0.1, 0.1],
        [0.2, 0.2],
        [0.3, 0.3],
      ]),
    ).forms;
    for (const form of iccForms)
      expect(perfect[form]).toMatchObject({
        value: expect.closeTo(1, 12),
        f: null,
        reason: "no-error-left",
      });
    expect(() =>
      intraclass([
        [1, Number.NaN],
        [2, 3],
      ]),
    ).toThrow(RangeError);
    expect(() => intraclass([[1, 2], [2]])).toThrow(RangeError);
  });
});

interface AlphaSet {
  data: { ratings: (number | null)[][] };
  expected: {
    alpha: Record<string, number>;
    published_three_decimals: Record<string, number>;
    pairable_values_n: number;
  };
}
// Krippendorff 2011, section C; irr 0.84.1.
const alpha = reference<AlphaSet>("alpha-krippendorff.json");
const alphaTable = transposed(alpha.data.ratings);

describe("Krippendorff's alpha", () => {
  it.each(alphaMetrics)("[P17] %s as published, with missing marks", (metric) => {
    const found = known(krippendorff(alphaTable, metric));
    expect(found.value).toBeCloseTo(alpha.expected.alpha[metric] as number, 10);
    expect(
      Math.abs(found.value - (alpha.expected.published_three_decimals[metric] as number)),
    ).toBeLessThan(5e-4);
    expect(found.pairable).toBe(alpha.expected.pairable_values_n);
    expect(found.units).toBe(11);
  });
  it("[P17] a second worked example: three coders, fifteen units, nominal .691, interval .811", () => {
    // The worked example of the encyclopaedia article on the coefficient (recalled from memory; irr gives the same).
    const _ = null;
    const coders = [
      [_, _, _, _, _, 3, 4, 1, 2, 1, 1, 3, 3, _, 3],
      [1, _, 2, 1, 3, 3, 4, 3, _, _, _, _, _, _, _],
      [_, _, 2, 1, 3, 4, 4, _, 2, 1, 1, 3, 3, _, 4],
    ];
    expect(known(krippendorff(transposed(coders), "nominal")).value).toBeCloseTo(0.691, 3);
    expect(known(krippendorff(transposed(coders), "interval")).value).toBeCloseTo(0.811, 3);
  });
  it("[P17] draws the same interval from the same seed, whatever the order of candidates, and it holds alpha", () => {
    for (const metric of alphaMetrics) {
      const options = { seed: 7, draws: 400 };
      const interval = known(alphaInterval(alphaTable, metric, options));
      expect(alphaInterval([...alphaTable].reverse(), metric, options)).toEqual(interval);
      expect(alphaInterval(alphaTable, metric, { seed: 8, draws: 400 })).not.toEqual(interval);
      const { value } = known(krippendorff(alphaTable, metric));
      expect(interval.low).toBeLessThan(value);
      expect(interval.high).toBeGreaterThan(value);
    }
  });
  it("[P12] says why there is no figure", () => {
    expect(krippendorff([[null, null]], "nominal")).toEqual({ reason: "no-marks" });
    expect(krippendorff([[1]], "nominal")).toEqual({ reason: "one-judge" });
    expect(
      krippendorff(
        [
          [1, null],
          [null, 1],
        ],
        "nominal",
      ),
    ).toEqual({ reason: "no-shared-performances" });
    expect(
      krippendorff(
        [
          [2, 2],
          [2, 2],
        ],
        "interval",
      ),
    ).toEqual({ reason: "all-equal" });
    expect(
      krippendorff(
        [
          [-1, 1],
          [2, 2],
        ],
        "ratio",
      ),
    ).toEqual({ reason: "negative-marks" });
    expect(() => krippendorff([[1, Number.NaN]], "nominal")).toThrow(RangeError);
    expect(
      alphaInterval(
        [
          [2, 2],
          [2, 2],
        ],
        "interval",
        { seed: 1 },
      ),
    ).toEqual({ reason: "all-equal" });
  });
});

describe("Kendall's W", () => {
  it("[P18] its chi-square with ties is Friedman's, as R has it", () => {
    const found = known(kendallW(complete));
    expect(found.chi2).toBeCloseTo(r.friedman.chi2, 9);
    expect(found.df).toBe(r.friedman.df);
    expect(found.p / r.friedman.p).toBeCloseTo(1, 9);
  });
  it("[P18] three rankings of six by hand", () => {
    // Worked by hand: rank sums 8, 14, 11, 11, 12, 7 about 10.5 → S = 33.5; W = 12 · 33.5 / (9 · 210) = .2127.
    const judges = [
      [1, 6, 3, 2, 5, 4],
      [1, 5, 6, 4, 2, 3],
      [6, 3, 2, 5, 4, 1],
    ];
    // Sums: 8, 14, 11, 11, 11, 8.
    const sums = [8, 14, 11, 11, 11, 8];
    const s = sums.reduce((total, sum) => total + (sum - 10.5) ** 2, 0);
    expect(known(kendallW(transposed(judges))).w).toBeCloseTo((12 * s) / (9 * 210), 12);
  });
  it("[P12] says why there is no figure", () => {
    expect(
      kendallW([
        [3, 3],
        [3, 3],
      ]),
    ).toEqual({ reason: "all-equal" });
    expect(kendallW([[3, 3]])).toEqual({ reason: "one-performance" });
    expect(
      known(
        kendallW([
          [1, 2],
          [2, 3],
          [5, null],
        ]),
      ).leftOut,
    ).toBe(1);
  });
});

interface KappaSet {
  data: { counts: number[][] };
  expected: {
    kappa: number;
    z_: number;
    z: never;
    z_value: number;
    category_kappa: number[];
    se_null: number;
  };
}

describe("kappas", () => {
  // Fleiss 1971, table 1; irr 0.84.1.
  const set = reference<KappaSet & { expected: { z: number } }>("kappa-fleiss.json");
  const spread = (counts: readonly number[][]) =>
    counts.map((row) =>
      row.flatMap((count, category) => new Array<number>(count).fill(category + 1)),
    );
  it("[P19] Fleiss' kappa of the diagnoses, z, and each category's", () => {
    const found = known(fleissKappa(spread(set.data.counts)));
    expect(found.kappa).toBeCloseTo(set.expected.kappa, 10);
    expect(found.z).toBeCloseTo(17.6518305829914, 9);
    expect(found.seNull).toBeCloseTo(set.expected.se_null, 12);
    expect(found.p).toBeLessThan(1e-60);
    found.categories.forEach(({ kappa }, i) => {
      expect(kappa).toBeCloseTo(set.expected.category_kappa[i] as number, 10);
    });
    expect(found.categories[0]?.z).toBeCloseTo(5.192, 3);
  });
  it("[P19] a second table, ten subjects and fourteen raters: .210", () => {
    // The worked example of the encyclopaedia article on the coefficient (recalled from memory).
    const counts = [
      [0, 0, 0, 0, 14],
      [0, 2, 6, 4, 2],
      [0, 0, 3, 5, 6],
      [0, 3, 9, 2, 0],
      [2, 2, 8, 1, 1],
      [7, 7, 0, 0, 0],
      [3, 2, 6, 3, 0],
      [2, 5, 3, 2, 2],
      [6, 5, 2, 1, 0],
      [0, 2, 2, 3, 7],
    ];
    expect(known(fleissKappa(spread(counts))).kappa).toBeCloseTo(0.21, 3);
  });
  it("[P20] weighted kappa of two judges as R has it", () => {
    const pair = crossTable(
      complete.map((row) => row[0] ?? null),
      complete.map((row) => row[1] ?? null),
    );
    for (const kind of ["unweighted", "linear", "quadratic"] as const)
      expect(known(weightedKappa(pair, kind)).kappa).toBeCloseTo(r.kappa[kind], 10);
  });
  it("[P20] Cohen's 1968 table: kappa .492, weighted .348", () => {
    // Cohen 1968, doi:10.1037/h0026256 (values recalled from memory).
    const counts = [
      [88, 14, 18],
      [10, 40, 10],
      [2, 6, 12],
    ];
    const table = { categories: [1, 2, 3], counts };
    const weights = [
      [0, 1, 3],
      [1, 0, 6],
      [3, 6, 0],
    ];
    expect(known(weightedKappa(table, "unweighted")).kappa).toBeCloseTo(0.492, 3);
    expect(known(weightedKappa(table, weights)).kappa).toBeCloseTo(0.348, 3);
    expect(() => weightedKappa(table, [[0]])).toThrow(RangeError);
  });
  it("[P20] a level nobody used still counts as distance", () => {
    const near = known(weightedKappa(crossTable([1, 2, 4, 1], [1, 2, 4, 2]), "linear")).kappa;
    const far = known(weightedKappa(crossTable([1, 2, 4, 1], [1, 2, 4, 4]), "linear")).kappa;
    expect(far).toBeLessThan(near);
  });
  it("[P12] says why there is no figure", () => {
    expect(
      fleissKappa([
        [1, 1],
        [1, 1],
      ]),
    ).toEqual({ reason: "all-equal" });
    expect(fleissKappa([[1], [2]])).toEqual({ reason: "one-judge" });
    expect(weightedKappa(crossTable([1], [null]), "linear")).toEqual({
      reason: "no-shared-performances",
    });
    expect(weightedKappa(crossTable([1, 1], [1, 1]), "linear")).toEqual({ reason: "all-equal" });
    expect(sameMarks([[1, null]])).toEqual({ reason: "no-shared-performances" });
    expect(sameMarks([[1], [2]])).toEqual({ reason: "one-judge" });
  });
});

describe("whatever the marks", () => {
  const cell = fc.option(fc.integer({ min: 1, max: 4 }), { nil: null, freq: 6 });
  const tables = fc.integer({ min: 1, max: 5 }).chain((judges) =>
    fc.array(fc.array(cell, { minLength: judges, maxLength: judges }), {
      minLength: 1,
      maxLength: 9,
    }),
  );
  const everything = (table: PanelTable) => ({
    icc: intraclass(table),
    alphas: alphaMetrics.map((metric) => krippendorff(table, metric)),
    w: kendallW(table),
    kappa: fleissKappa(table),
    same: sameMarks(table),
  });
  /** Numbers alike to seven digits, since sums in another order differ in the last; all else the same. */
  const alike = (found: unknown, wanted: unknown): void => {
    if (typeof found === "number" && typeof wanted === "number")
      expect(Math.abs(found - wanted)).toBeLessThanOrEqual(1e-7 * (1 + Math.abs(wanted)));
    else if (found && wanted && typeof found === "object" && typeof wanted === "object") {
      expect(Object.keys(found)).toEqual(Object.keys(wanted));
      for (const [name, value] of Object.entries(found))
        alike(value, (wanted as Record<string, unknown>)[name]);
    } else expect(found).toEqual(wanted);
  };
  const numbersIn = (value: unknown): number[] =>
    typeof value === "number"
      ? [value]
      : value && typeof value === "object"
        ? Object.values(value).flatMap(numbersIn)
        : [];

  it("[P12] never says NaN or Infinity", () => {
    fc.assert(
      fc.property(tables, (table) => {
        expect(numbersIn(everything(table)).filter((value) => !Number.isFinite(value))).toEqual([]);
      }),
    );
  });
  it("[P14] the order of judges and candidates does not matter", () => {
    fc.assert(
      fc.property(tables, (table) => {
        const turned = [...table].reverse().map((row) => [...row].reverse());
        alike(everything(turned), everything(table));
      }),
    );
  });
  it("[P14] shift and scale change neither ICC, W, kappa nor alpha of ranks and intervals", () => {
    fc.assert(
      fc.property(
        tables,
        fc.integer({ min: 1, max: 9 }),
        fc.integer({ min: 1, max: 4 }),
        (table, by, times) => {
          const moved = table.map((row) =>
            row.map((mark) => (mark === null ? null : mark * times + by)),
          );
          const only = (given: PanelTable) => ({
            icc: iccForms.map((form) => {
              const found = intraclass(given);
              return "reason" in found ? found : found.forms[form];
            }),
            alphas: (["nominal", "ordinal", "interval"] as const).map((metric) =>
              krippendorff(given, metric),
            ),
            w: kendallW(given),
          });
          alike(only(moved), only(table));
        },
      ),
    );
  });
  it("[P14] judges who always agree are told so by every figure", () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: 1, max: 30 }), { minLength: 3, maxLength: 8 }),
        (marks) => {
          const table = marks.map((mark) => [mark, mark, mark]);
          for (const metric of alphaMetrics)
            expect(known(krippendorff(table, metric)).value).toBe(1);
          expect(known(kendallW(table)).w).toBeCloseTo(1, 12);
          expect(known(fleissKappa(table)).kappa).toBeCloseTo(1, 12);
          expect(known(sameMarks(table))).toMatchObject({ exact: 1, adjacent: 1 });
        },
      ),
    );
  });
});
