import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { adjustedScore } from "../../../src/ratings/severity/adjusted-score.ts";
import { conditional } from "../../../src/ratings/severity/conditional.ts";
import { type JudgeScore, judgeScores } from "../../../src/ratings/severity/judge-scores.ts";
import { missingLinks } from "../../../src/ratings/severity/missing-links.ts";
import { outlook } from "../../../src/ratings/severity/outlook.ts";
import { reduced } from "../../../src/ratings/severity/reduced.ts";
import {
  type KnownSeverity,
  type Severities,
  severities,
} from "../../../src/ratings/severity/severities.ts";
import lme4 from "../../reference/severity/from-r.json" with { type: "json" };

const estimated = (
  rows: readonly JudgeScore[],
  options: Parameters<typeof severities>[1] = {},
): Severities => {
  const found = severities(judgeScores(rows), options);
  if (found.kind !== "estimated") throw new Error(found.reason);
  return found;
};
const severityOf = (found: Severities) => found.judges.map(({ severity }) => severity);
const close = (found: readonly number[], expected: readonly number[], within = 1e-9) =>
  found.forEach((value, at) => {
    expect(Math.abs(value - (expected[at] as number))).toBeLessThanOrEqual(within);
  });

/** Two or three of five judges for each candidate, in rotation, so that the panel hangs together. */
const rotation = (judges: number, candidates: number, each: number) =>
  Array.from({ length: candidates }, (_, candidate) =>
    Array.from({ length: each }, (_, step) => ({
      candidate,
      judge: (candidate + step * (1 + (candidate % 2))) % judges,
    })),
  ).flat();
const panels = fc
  .tuple(
    fc.integer({ min: 5, max: 12 }),
    fc.array(fc.integer({ min: 4, max: 16 }), { minLength: 40, maxLength: 40 }),
  )
  .map(([candidates, levels]) =>
    rotation(5, candidates, 3).map(
      (pair, at): JudgeScore => ({
        ...pair,
        level: (levels[at % levels.length] as number) / 4 + at / 1000,
      }),
    ),
  );

describe("severity", () => {
  it("[P51] does not depend on the order of rows, nor on which judge is called first", () => {
    fc.assert(
      fc.property(panels, fc.integer({ min: 1, max: 4 }), (rows, turn) => {
        const base = severityOf(estimated(rows));
        close(severityOf(estimated([...rows].reverse())), base, 0);
        const turned = severityOf(
          estimated(rows.map((row) => ({ ...row, judge: (row.judge + turn) % 5 }))),
        );
        close(
          turned,
          turned.map((_, judge) => base[(judge - turn + 5) % 5] as number),
        );
        const candidates = Math.max(...rows.map(({ candidate }) => candidate)) + 1;
        const others = rows.map((row) => ({ ...row, candidate: candidates - 1 - row.candidate }));
        close(severityOf(estimated(others)), base);
      }),
      { numRuns: 40 },
    );
  });

  it("[P52] shifts with nothing and stretches with the scale", () => {
    fc.assert(
      fc.property(panels, fc.integer({ min: -3, max: 3 }), (rows, shift) => {
        const base = estimated(rows);
        const moved = estimated(
          rows.map((row) => ({ ...row, level: 25 * row.level + shift })),
          { level: 25 },
        );
        close(
          severityOf(moved),
          severityOf(base).map((value) => 25 * value),
          1e-6,
        );
        close(
          [moved.residualSd, moved.severitySd],
          [25 * base.residualSd, 25 * base.severitySd],
          1e-6,
        );
      }),
      { numRuns: 30 },
    );
  });

  // R 4, lme4: tests/reference/severity/regenerate.R
  it("[P53] agrees with lme4: judges' predictions, candidates' levels, the likelihood", () => {
    const scores = judgeScores(lme4.rows);
    const prior = { severity: 0, variance: lme4.severity_variance };
    const found = conditional(
      reduced(scores),
      Array.from({ length: 5 }, () => prior),
      lme4.residual_variance,
    );
    close(
      [...found.mean],
      lme4.judge_effects.map((effect) => -effect),
      1e-6,
    );
    const counts = Array.from({ length: 9 }, (_, candidate) =>
      lme4.rows.filter((row) => row.candidate === candidate),
    );
    const constant =
      (23 - 9) * Math.log(2 * Math.PI) + counts.reduce((sum, its) => sum + Math.log(its.length), 0);
    expect(-2 * found.logLikelihood + constant).toBeCloseTo(lme4.reml_criterion, 6);
    const from = {
      judges: [...found.mean].map((severity) => ({ severity, se: 0 })),
      covariance: found.covariance,
    };
    counts.forEach((its, candidate) => {
      const raw = its.reduce((sum, { level }) => sum + level, 0) / its.length;
      const parts = its.map(({ judge }) => ({ judge, part: 1 / its.length }));
      const { adjusted, se } = adjustedScore(raw, parts, from, "standard");
      expect(adjusted).toBeCloseTo(lme4.candidates[candidate] as number, 5);
      // lme4's error has the marks' own noise in it besides.
      const noise = lme4.residual_variance / its.length;
      expect(Math.sqrt(se ** 2 + noise)).toBeCloseTo(lme4.candidate_se[candidate] as number, 5);
    });
  });

  it("[P53] averages the spreads: what lies between no trust and full trust in the best fit", () => {
    const found = estimated(lme4.rows);
    const ratio = severityOf(found).map((value, j) => value / -(lme4.judge_effects[j] as number));
    for (const one of ratio) expect(one).toBeGreaterThan(0.7);
    for (const one of ratio) expect(one).toBeLessThan(1.3);
    for (const { se } of found.judges) expect(se).toBeGreaterThan(0.05);
  });

  it("[P54, P55] finds a judge who became a level more severe, and moves nobody's adjusted score", () => {
    const pairs = rotation(5, 30, 3);
    const rows = pairs.map(({ judge, candidate }) => ({
      judge,
      candidate,
      level: 2.5 + Math.sin(candidate) / 2 + 0.15 * Math.sin(17 * candidate + 5 * judge),
    }));
    const harder = rows.map((row) => (row.judge === 3 ? { ...row, level: row.level - 1 } : row));
    const [before, after] = [estimated(rows), estimated(harder)];
    const gap = (found: Severities) =>
      (found.judges[3]?.severity as number) -
      [0, 1, 2, 4].reduce((sum, j) => sum + (found.judges[j]?.severity as number), 0) / 4;
    expect(gap(after) - gap(before)).toBeGreaterThan(0.95);
    expect(gap(after) - gap(before)).toBeLessThan(1.02);
    for (let candidate = 0; candidate < 30; candidate++) {
      const adjusted = [
        { from: before, its: rows },
        { from: after, its: harder },
      ].map(({ from, its }) => {
        const own = its.filter((row) => row.candidate === candidate);
        const raw = own.reduce((sum, { level }) => sum + level, 0) / own.length;
        const parts = own.map(({ judge }) => ({ judge, part: 1 / own.length }));
        return adjustedScore(raw, parts, from, "panel").adjusted;
      });
      // All five judges are a fifth of a level more severe now on the average, and a panel's own mean is all there is to go by.
      expect(Math.abs((adjusted[0] as number) - 0.2 - (adjusted[1] as number))).toBeLessThan(0.05);
    }
  });

  it("[P55] leaves a candidate far from all others where the marks put it", () => {
    const rows = rotation(5, 12, 3).map(({ judge, candidate }) => ({
      judge,
      candidate,
      level: (candidate === 7 ? 0.2 : 3) + 0.1 * Math.sin(3 * judge + candidate),
    }));
    const from = estimated(rows);
    const own = rows.filter(({ candidate }) => candidate === 7);
    const raw = own.reduce((sum, { level }) => sum + level, 0) / own.length;
    const parts = own.map(({ judge }) => ({ judge, part: 1 / own.length }));
    const { adjusted, change } = adjustedScore(raw, parts, from, "panel");
    expect(adjusted - raw).toBeCloseTo(change, 12);
    expect(Math.abs(change)).toBeLessThan(0.1);
  });
});

describe("a panel that cannot be compared", () => {
  const why = (rows: readonly JudgeScore[]) => {
    const found = severities(judgeScores(rows));
    return found.kind === "not-possible" ? [found.reason, outlook(judgeScores(rows))] : found.kind;
  };
  it("[P56] is told why, by a code", () => {
    const row = (judge: number, candidate: number, level: number) => ({ judge, candidate, level });
    expect(why([])).toEqual(["one-judge", "one-judge"]);
    expect(why([row(0, 0, 3), row(0, 1, 2)])).toEqual(["one-judge", "one-judge"]);
    expect(why([row(0, 0, 3), row(1, 0, 2)])).toEqual(["one-candidate", "one-candidate"]);
    expect(why([row(0, 0, 3), row(1, 1, 2)])).toEqual(["not-connected", "not-connected"]);
    const equal = [0, 1].flatMap((judge) => [0, 1].map((candidate) => row(judge, candidate, 3)));
    expect(why(equal)).toEqual(["all-equal", "all-equal"]);
  });

  it("[P56] is linked by the fewest further pairs, one for each group too many, and then hangs together", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 5 }),
        fc.integer({ min: 1, max: 4 }),
        (groups, each) => {
          const rows = Array.from({ length: groups }, (_, group) =>
            [0, 1].flatMap((judge) =>
              Array.from({ length: each + group }, (_, candidate) => ({
                judge: 2 * group + judge,
                candidate: 20 * group + candidate,
                level: 2 + judge / 2 + candidate / 8,
              })),
            ),
          ).flat();
          const links = missingLinks(judgeScores(rows));
          expect(links).toHaveLength(groups - 1);
          const linked = judgeScores([...rows, ...links.map((link) => ({ ...link, level: 2 }))]);
          expect(new Set(linked.groups)).toEqual(new Set([0]));
          expect(missingLinks(linked)).toEqual([]);
          const oneLess = judgeScores([
            ...rows,
            ...links.slice(1).map((link) => ({ ...link, level: 2 })),
          ]);
          expect(new Set(oneLess.groups).size).toBe(2);
        },
      ),
    );
  });
});

describe("what can be gained", () => {
  const complete = [0, 1, 2].flatMap((judge) =>
    [0, 1, 2, 3, 4, 5].map((candidate) => ({
      judge,
      candidate,
      level: 2 + candidate / 4 - judge / 3 + 0.1 * Math.sin(candidate * judge),
    })),
  );
  it("[P57] is nothing where everybody marked everybody", () => {
    expect(outlook(judgeScores(complete))).toBe("nothing-to-gain-without-standard");
    const from = estimated(complete);
    const parts = [0, 1, 2].map((judge) => ({ judge, part: 1 / 3 }));
    expect(adjustedScore(2.2, parts, from, "standard").change).toBeCloseTo(0, 12);
    expect(adjustedScore(2.2, parts, from, "panel").change).toBeCloseTo(0, 12);
    expect(outlook(judgeScores(complete.slice(1)))).toBe("luck-of-judges");
  });

  it("[P58] is the panel's own level once judges are known", () => {
    const known = (severity: number, sd: number): KnownSeverity[] =>
      [0, 1, 2].map((judge) => ({ severity: severity + judge / 3, sd }));
    expect(outlook(judgeScores(complete), known(0, 0.1))).toBe("whole-panel");
    const parts = [0, 1, 2].map((judge) => ({ judge, part: 1 / 3 }));
    const change = (severity: number, sd: number) =>
      adjustedScore(2.2, parts, estimated(complete, { known: known(severity, sd) }), "standard");
    expect(change(0.3, 0.05).change).toBeGreaterThan(0.5);
    expect(change(0.3, 0.05).change).toBeLessThan(0.3 + 1 / 3);
    expect(change(0.3, 0.6).change).toBeLessThan(change(0.3, 0.05).change);
    expect(change(0.3, 0.6).se).toBeGreaterThan(change(0.3, 0.05).se);
    expect(estimated(complete, { known: known(0, 0.1) }).hasStandard).toBe(true);
    // Brought to the panel's own mean instead, a complete panel's scores stay where they are.
    const from = estimated(complete, { known: known(0.3, 0.05) });
    expect(adjustedScore(2.2, parts, from, "panel").change).toBeCloseTo(0, 12);
  });

  it("[P58] reaches even a panel in groups, when somebody of each group is known", () => {
    const rows = [
      { judge: 0, candidate: 0, level: 3 },
      { judge: 0, candidate: 1, level: 2 },
      { judge: 1, candidate: 2, level: 2 },
    ];
    const one = { severity: 0.4, sd: 0.1 };
    expect(severities(judgeScores(rows), { known: [one, null] }).kind).toBe("not-possible");
    expect(severityOf(estimated(rows, { known: [one, one] }))[1]).toBeGreaterThan(0.25);
  });
});

describe("bad input", () => {
  it("[P59] is refused: NaN, a pair twice, a known severity without a spread", () => {
    const row = { judge: 0, candidate: 0, level: 3 };
    expect(() => judgeScores([row, { ...row, level: 2 }])).toThrow("comes twice");
    expect(() => judgeScores([{ ...row, level: Number.NaN }])).toThrow(RangeError);
    expect(() => judgeScores([{ ...row, share: 0 }])).toThrow(RangeError);
    expect(() => judgeScores([{ ...row, judge: -1 }])).toThrow(RangeError);
    for (const known of [
      { severity: Number.NaN, sd: 1 },
      { severity: 0, sd: 0 },
    ])
      expect(() => severities(judgeScores([row]), { known: [known] })).toThrow(RangeError);
    expect(() => adjustedScore(Number.NaN, [], estimated(lme4.rows), "panel")).toThrow(RangeError);
    expect(() =>
      adjustedScore(2, [{ judge: 0, part: 0.5 }], estimated(lme4.rows), "panel"),
    ).toThrow(RangeError);
  });

  it("[P56] never ends in something that is not a number, whatever whole levels come", () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(
          fc.record({
            judge: fc.integer({ min: 0, max: 4 }),
            candidate: fc.integer({ min: 0, max: 6 }),
            level: fc.integer({ min: 1, max: 4 }),
          }),
          { selector: ({ judge, candidate }) => judge * 10 + candidate, maxLength: 35 },
        ),
        (rows) => {
          const found = severities(judgeScores(rows));
          if (found.kind !== "estimated") return;
          for (const { severity, se } of found.judges) {
            expect(Number.isFinite(severity)).toBe(true);
            expect(Number.isFinite(se)).toBe(true);
          }
          expect(Number.isFinite(found.residualSd + found.severitySd)).toBe(true);
        },
      ),
    );
  });
});

it("[P61] sixty candidates and seven judges take no longer than a blink", () => {
  const scores = judgeScores(
    Array.from({ length: 60 }, (_, candidate) =>
      Array.from({ length: 7 }, (_, judge) => ({
        judge,
        candidate,
        level: 2.5 + Math.sin(candidate + judge),
      })),
    ).flat(),
  );
  for (let warm = 0; warm < 20; warm++) severities(scores);
  const times = Array.from({ length: 9 }, () => {
    const started = performance.now();
    severities(scores);
    return performance.now() - started;
  }).sort((a, b) => a - b);
  expect(times[4]).toBeLessThan(10);
});
