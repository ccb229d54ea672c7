import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { keptByPosition } from "../../src/ratings/kept-by-position.ts";
import { median } from "../../src/ratings/median.ts";
import { LEVEL_PARTS, panelMark } from "../../src/ratings/panel-mark.ts";
import federation from "../reference/federation-panel-arithmetic.json" with { type: "json" };

const rules = ["mean", "median", "drop-high-low", "robust"] as const;
const level = fc.integer({ min: 1, max: 7 });
const levels = fc.array(level, { minLength: 1, maxLength: 15 });
const rule = fc.constantFrom(...rules);
const markOf = (marks: readonly number[], by: (typeof rules)[number]) =>
  panelMark(marks, by).parts / LEVEL_PARTS;

describe("the panel mark", () => {
  it("[P1] does not depend on where the judges sit", () => {
    fc.assert(
      fc.property(
        levels.chain((marks) =>
          fc.tuple(fc.constant(marks), fc.shuffledSubarray(marks, { minLength: marks.length })),
        ),
        rule,
        ([marks, shuffled], by) => {
          expect(panelMark(shuffled, by).parts).toBe(panelMark(marks, by).parts);
        },
      ),
    );
  });

  it("[P2] all judges agreeing is their mark, by every rule", () => {
    for (const by of rules)
      for (let judges = 1; judges <= 20; judges++)
        for (let mark = 1; mark <= 7; mark++)
          expect(panelMark(Array(judges).fill(mark), by).parts).toBe(mark * LEVEL_PARTS);
  });

  it("[P3] lies between the lowest and the highest mark", () => {
    fc.assert(
      fc.property(levels, rule, (marks, by) => {
        expect(markOf(marks, by)).toBeGreaterThanOrEqual(Math.min(...marks));
        expect(markOf(marks, by)).toBeLessThanOrEqual(Math.max(...marks));
      }),
    );
  });

  it("[P4] goes up a level when every judge does, and never down when one goes up", () => {
    fc.assert(
      fc.property(levels, rule, fc.nat(), (marks, by, which) => {
        const all = panelMark(
          marks.map((mark) => mark + 1),
          by,
        ).parts;
        expect(Math.abs(all - panelMark(marks, by).parts - LEVEL_PARTS)).toBeLessThanOrEqual(1);
        if (by === "robust") return;
        const one = marks.map((mark, place) => (place === which % marks.length ? mark + 1 : mark));
        expect(panelMark(one, by).parts).toBeGreaterThanOrEqual(panelMark(marks, by).parts);
      }),
    );
  });

  it("[P5] is exact for up to 20 judges", () => {
    fc.assert(
      fc.property(fc.array(level, { minLength: 1, maxLength: 20 }), (marks) => {
        const sum = marks.reduce((all, mark) => all + mark, 0);
        expect(panelMark(marks, "mean").parts * marks.length).toBe(sum * LEVEL_PARTS);
      }),
    );
    // By hand: 3 + 4 + 4 is 11 thirds; the middle of 2 and 3 is 2 1/2; 1 and 4 go, 3 and 3 and 2 are 8 thirds.
    expect(panelMark([3, 4, 4], "mean").parts).toBe((11 * LEVEL_PARTS) / 3);
    expect(panelMark([2, 1, 4, 3], "median").parts).toBe((5 * LEVEL_PARTS) / 2);
    expect(panelMark([4, 1, 3, 3, 2], "drop-high-low").parts).toBe((8 * LEVEL_PARTS) / 3);
  });

  it("[P6] drops one highest and one lowest by position: of equal ones only one goes", () => {
    // By hand: 4 4 4 1 1 leaves 1 4 4, not nothing: 9 thirds.
    const { parts, used } = panelMark([4, 4, 4, 1, 1], "drop-high-low");
    expect(parts).toBe(3 * LEVEL_PARTS);
    expect(used).toHaveLength(3);
    // Two judges: dropping two would leave nobody, so the mean of both stands.
    expect(panelMark([1, 4], "drop-high-low")).toEqual({ parts: 2.5 * LEVEL_PARTS, used: [0, 1] });
    expect(panelMark([4], "drop-high-low").parts).toBe(4 * LEVEL_PARTS);
    expect(panelMark([1, 2, 4], "drop-high-low").parts).toBe(
      markOf([1, 2, 4], "median") * LEVEL_PARTS,
    );
  });

  it("[P7] no single judge moves it outside the other marks, where the rule promises that", () => {
    fc.assert(
      fc.property(
        fc.array(level, { minLength: 2, maxLength: 9 }),
        level,
        fc.constantFrom("median", "drop-high-low"),
        (others, rogue, by) => {
          const mark = markOf([...others, rogue], by as "median");
          expect(mark).toBeGreaterThanOrEqual(Math.min(...others));
          expect(mark).toBeLessThanOrEqual(Math.max(...others));
        },
      ),
    );
  });

  it("[P10] refuses what is no level", () => {
    for (const by of rules)
      for (const wrong of [[], [Number.NaN], [3, 0], [2.5], [Number.POSITIVE_INFINITY]])
        expect(() => panelMark(wrong, by)).toThrow(RangeError);
    expect(() => panelMark([1, 2, 4], "highest" as "mean")).toThrow(/“highest” is no rule/);
    expect(() => median([])).toThrow(RangeError);
    expect(() => median([1, Number.NaN])).toThrow(RangeError);
    expect(() => keptByPosition([Number.NaN], 1)).toThrow(RangeError);
  });
});

// Source of every figure: tests/reference/federation-panel-arithmetic.json, which names the rules and how the values were obtained.
describe("the arithmetic of judged forms", () => {
  const kept = (scores: readonly number[], drop: number) =>
    keptByPosition(scores, drop).map((place) => scores[place]);

  it.each(federation.data.wkf_7_judges)(
    "[P6] two highest and lowest of seven: $id",
    ({ id, tech, athletic }) => {
      const expected = federation.expected.wkf_7_judges.find((one) => one.id === id);
      expect(kept(tech, 2)).toEqual(expected?.tech_kept);
      expect(kept(athletic, 2)).toEqual(expected?.athletic_kept);
    },
  );

  it.each(federation.data.poomsae)(
    "[P6] highest and lowest: $id",
    ({ id, accuracy, presentation }) => {
      const expected = federation.expected.poomsae.find((one) => one.id === id);
      expect(kept(accuracy, 1)).toEqual(expected?.accuracy_kept);
      expect(kept(presentation, 1)).toEqual(expected?.presentation_kept);
      // Tenths of a point are whole levels to the rule.
      const tenths = (scores: readonly number[]) => scores.map((score) => Math.round(score * 10));
      const mean = (scores: readonly number[]) => markOf(tenths(scores), "drop-high-low") / 10;
      expect(mean(accuracy)).toBeCloseTo(expected?.accuracy_mean as number, 9);
      expect(mean(presentation)).toBeCloseTo(expected?.presentation_mean as number, 9);
    },
  );
});
