import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { anovaComponents } from "../../../src/ratings/components/anova-components.ts";
import { reliability } from "../../../src/ratings/components/reliability.ts";
import { type NoFit, type RemlFit, reml } from "../../../src/ratings/components/reml.ts";
import { termOf } from "../../../src/ratings/components/term.ts";
import { bestFit } from "../../../src/ratings/severity/best-fit.ts";
import { chanceFrom } from "../../../src/ratings/statistics/chance.ts";
import { markColumns } from "../../builders/mark-columns.ts";
import { type FromR, panelRows, reference } from "../../reference/statistics/reference.ts";

const effects = (text: string) =>
  text === "" ? [] : text.split(",").map((name) => name.split(":"));
function fitted(answer: RemlFit | NoFit): RemlFit {
  if ("reason" in answer) throw new Error(`no fit: ${answer.reason} ${answer.terms}`);
  return answer;
}
const factors = ["candidate", "judge", "item", "criterion"] as const;

describe("REML against lme4", () => {
  // Invented panels with missing cells; lme4 1.1.31, stored by regenerate.R.
  it.each(reference<FromR>("from-r.json").fits)("[P25] $panel: $random | $fixed", (wanted) => {
    const columns = markColumns(panelRows(wanted.panel), factors);
    const fit = fitted(reml(columns, effects(wanted.random), effects(wanted.fixed)));
    for (const { name, variance, se } of fit.components) {
      expect(Math.abs(variance - (wanted.components[name] as number)), name).toBeLessThan(3e-5);
      expect(se === null).toBe(variance === 0);
    }
    expect(fit.residual.variance).toBeCloseTo(wanted.components.residual as number, 4);
    // Never above lme4's by more than a zero costs here, and hardly below it.
    expect(fit.criterion - wanted.criterion).toBeLessThan(1e-5);
    expect(fit.criterion - wanted.criterion).toBeGreaterThan(-1e-5);
    const { value, se } = fit.estimate([]);
    expect(value).toBeCloseTo(wanted.intercept, 4);
    expect(se).toBeCloseTo(wanted.intercept_se, 4);
    const [first] = fit.effects;
    if (first?.term.factors.length !== 1) return;
    const name = first.term.name as (typeof factors)[number];
    for (const [level, blup] of Object.entries(wanted.first_effect)) {
      const code = columns.levels[name].indexOf(level);
      const mark = columns.factors.get(name)?.codes.indexOf(code) ?? -1;
      expect(first.values[first.term.codes[mark] as number], level).toBeCloseTo(blup, 3);
    }
  });
});

interface Guilford {
  data: { rows: number[][] };
  expected: {
    variance_components_anova: Record<string, number>;
    variance_components_reml: Record<string, number>;
    reml_criterion: number;
    d_study_from_anova: {
      n_judges: number;
      traits_random: Record<"G" | "Phi" | "rel_error_var" | "abs_error_var", number>;
      traits_fixed: Record<"G" | "Phi" | "SEM_rel" | "SEM_abs", number>;
    }[];
  };
}

describe("the study of 7 candidates × 3 judges × 5 traits", () => {
  // Guilford 1954, as stored; lme4 1.1.31 and R's aov.
  const { data, expected } = reference<Guilford>("guilford.json");
  const rows = data.rows.flatMap(([judge = 0, candidate = 0, ...marks]) =>
    marks.map((mark, criterion) => ({ candidate, judge, criterion, mark })),
  );
  const columns = markColumns(rows, ["candidate", "judge", "criterion"]);
  const names = effects(
    "candidate,judge,criterion,candidate:judge,candidate:criterion,judge:criterion",
  );
  const keys = ["p", "j", "t", "pj", "pt", "jt"];
  const anova = anovaComponents(
    columns.marks,
    names.map((name) => termOf(name, columns)),
  );
  it("[P26] sums of squares, negative ones as they come", () => {
    keys.forEach((key, k) => {
      expect(anova?.variances[k]).toBeCloseTo(expected.variance_components_anova[key] as number, 9);
    });
    expect(anova?.residual).toBeCloseTo(expected.variance_components_anova.pjt_e as number, 9);
  });
  it("[P25] REML, never below 0", () => {
    const fit = fitted(reml(columns, names, []));
    keys.forEach((key, k) => {
      expect(fit.components[k]?.variance).toBeCloseTo(
        expected.variance_components_reml[key] as number,
        4,
      );
    });
    expect(fit.criterion).toBeCloseTo(expected.reml_criterion, 5);
  });
  it.each(expected.d_study_from_anova)(
    "[P27] what $n_judges judges would give, traits random and fixed",
    (wanted) => {
      const components = names.map((name, k) => ({
        name: name.join(":"),
        variance: anova?.variances[k] ?? 0,
      }));
      const study = (fixed: string[]) =>
        reliability(columns, components, anova?.residual ?? 0, fixed)?.dStudy[wanted.n_judges - 1];
      expect(study([])?.g).toBeCloseTo(wanted.traits_random.G, 9);
      expect(study([])?.phi).toBeCloseTo(wanted.traits_random.Phi, 9);
      expect(study(["criterion"])?.g).toBeCloseTo(wanted.traits_fixed.G, 9);
      expect(study(["criterion"])?.phi).toBeCloseTo(wanted.traits_fixed.Phi, 9);
      expect(study(["criterion"])?.semRelative).toBeCloseTo(wanted.traits_fixed.SEM_rel, 9);
      expect(study(["criterion"])?.sem).toBeCloseTo(wanted.traits_fixed.SEM_abs, 9);
    },
  );
});

describe("variance components", () => {
  const table = (marks: readonly (readonly (number | null)[])[]) =>
    markColumns(
      marks.flatMap((row, candidate) =>
        row.flatMap((mark, judge) => (mark === null ? [] : [{ candidate, judge, mark }])),
      ),
      ["candidate", "judge"],
    );
  const both = effects("candidate,judge");

  it("[P12] says why there is no fit, and which effects to leave out", () => {
    expect(reml(table([]), both, [])).toMatchObject({ reason: "no-marks" });
    expect(reml(table([[1, 2]]), both, [])).toEqual({ reason: "one-level", terms: ["candidate"] });
    expect(reml(table([[1], [2]]), effects("judge"), [])).toEqual({
      reason: "one-level",
      terms: ["judge"],
    });
    expect(
      reml(
        table([
          [3, 3],
          [3, 3],
        ]),
        both,
        [],
      ),
    ).toMatchObject({ reason: "all-equal" });
    expect(
      reml(
        table([
          [1, 2],
          [3, 5],
        ]),
        effects("candidate:judge"),
        [],
      ),
    ).toEqual({
      reason: "level-for-each-mark",
      terms: ["candidate:judge"],
    });
    expect(
      reml(
        table([
          [1, 2, null, null],
          [null, null, 3, 5],
        ]),
        effects("candidate,candidate"),
        [],
      ),
    ).toMatchObject({
      reason: "same-levels",
    });
    expect(
      reml(
        table([
          [1, 2, 3],
          [2, 3, 4],
          [4, 5, 6],
        ]),
        both,
        [],
      ),
    ).toMatchObject({ reason: "no-error-left" });
    expect(() =>
      reml(
        table([
          [1, Number.NaN],
          [2, 3],
        ]),
        both,
        [],
      ),
    ).toThrow(RangeError);
    expect(() =>
      reml(
        table([
          [1, 2],
          [2, 3],
        ]),
        [],
        [],
      ),
    ).toThrow(RangeError);
    expect(() =>
      reml(
        table([
          [1, 2],
          [2, 3],
        ]),
        effects("coach"),
        [],
      ),
    ).toThrow(RangeError);
  });

  const cell = fc.option(fc.integer({ min: 1, max: 5 }), { nil: null, freq: 5 });
  const tables = fc.array(fc.array(cell, { minLength: 3, maxLength: 3 }), {
    minLength: 3,
    maxLength: 8,
  });
  it("[P14] shift, scale, order of candidates and judges: the same components", () => {
    fc.assert(
      fc.property(
        tables,
        fc.integer({ min: -9, max: 9 }),
        fc.integer({ min: 1, max: 5 }),
        (marks, by, times) => {
          const turned = [...marks]
            .reverse()
            .map((row) =>
              [...row].reverse().map((mark) => (mark === null ? null : times * mark + by)),
            );
          const [plain, moved] = [reml(table(marks), both, []), reml(table(turned), both, [])];
          if ("reason" in plain) expect(moved).toMatchObject({ reason: plain.reason });
          else {
            const other = fitted(moved);
            const total = plain.components.reduce(
              (sum, { variance }) => sum + variance,
              plain.residual.variance,
            );
            plain.components.forEach(({ variance }, k) => {
              const scaled = (other.components[k]?.variance ?? 0) / times ** 2;
              expect(Math.abs(scaled - variance)).toBeLessThan(2e-3 * total);
            });
          }
        },
      ),
      {
        numRuns: 60,
        // The terms explain every mark; in one order of rows the rounds ran out before that showed.
        examples: [
          [
            [
              [3, null, null],
              [null, 4, 1],
              [null, 4, 1],
            ],
            0,
            1,
          ],
        ],
      },
    );
  });

  it("[P28] a whole test with missing marks is parted in well under a second", () => {
    // 60 candidates × 5 judges × 25 items × 5 criteria, a third missing; generous, since the machine is shared.
    const chance = chanceFrom(3);
    const codes: number[][] = [[], [], [], []];
    const marks: number[] = [];
    for (let c = 0; c < 60; c++)
      for (let j = 0; j < 5; j++)
        for (let i = 0; i < 25; i++)
          for (let t = 0; t < 5; t++) {
            if (chance() < 0.33) continue;
            for (const [f, code] of [c, j, i, t].entries()) codes[f]?.push(code);
            marks.push(Math.round(2 + (c % 7) / 4 + (j % 3) / 4 + (i % 5) / 8 + chance() * 2));
          }
    const columns = {
      marks: Float64Array.from(marks),
      factors: new Map(
        [60, 5, 25, 5].map((levels, f) => [
          factors[f] as string,
          { levels, codes: Int32Array.from(codes[f] ?? []) },
        ]),
      ),
    };
    const model = effects("candidate,judge,item:criterion,candidate:judge");
    reml(columns, model, []);
    const start = performance.now();
    fitted(reml(columns, model, []));
    expect(performance.now() - start).toBeLessThan(800);
  });
});

describe("adjusted means", () => {
  const columnsOf = (rows: readonly { candidate: string; judge: string; mark: number }[]) =>
    markColumns(rows, ["candidate", "judge"]);
  it("[P29] severity is what lme4's judges are, turned round, with candidates fixed", () => {
    const wanted = reference<FromR>("from-r.json").fits.find(
      ({ panel, random, fixed }) =>
        panel === "rotation" && random === "judge" && fixed === "candidate",
    );
    const columns = columnsOf(panelRows("rotation"));
    const found = bestFit(columns);
    if ("reason" in found) throw new Error(found.reason);
    columns.levels.judge.forEach((judge, j) => {
      expect(found.severity[j]?.estimate).toBeCloseTo(-(wanted?.first_effect[judge] as number), 4);
    });
    expect(found.candidates[0]?.adjusted).toBeCloseTo(wanted?.intercept as number, 4);
    expect(found.candidates[0]?.se).toBeCloseTo(wanted?.intercept_se as number, 4);
  });
  it("[P29] a complete panel is not adjusted at all", () => {
    const rows = panelRows("complete");
    const columns = columnsOf(rows);
    const found = bestFit(columns);
    if ("reason" in found) throw new Error(found.reason);
    columns.levels.candidate.forEach((candidate, c) => {
      const own = rows.filter((row) => row.candidate === candidate).map(({ mark }) => mark);
      expect(found.candidates[c]?.adjusted).toBeCloseTo(
        own.reduce((sum, mark) => sum + mark, 0) / own.length,
        6,
      );
    });
  });
  it("[P30] judges whom no candidate links are left alone, and it says so", () => {
    const apart = [
      { candidate: "a", judge: "1", mark: 2 },
      { candidate: "a", judge: "2", mark: 3 },
      { candidate: "b", judge: "3", mark: 4 },
      { candidate: "b", judge: "4", mark: 3 },
    ];
    expect(bestFit(columnsOf(apart))).toEqual({ reason: "not-connected" });
    expect(bestFit(columnsOf(apart.slice(0, 2)))).toEqual({ reason: "one-candidate" });
    expect(bestFit(columnsOf([{ candidate: "a", judge: "1", mark: 2 }]))).toEqual({
      reason: "one-judge",
    });
  });
});
