import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateCase } from "../../../src/belt-test/verdict/outcome.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import {
  type SmallestChange,
  smallestChange,
} from "../../../src/belt-test/verdict/smallest-change.ts";
import { aCase } from "../../builders/a-case.ts";
import { aRubric } from "../../builders/a-rubric.ts";

/** Two sections, five cells in all, three even levels: small enough to try everything. */
function aSmallCase(
  levels: readonly number[],
  lines: { pass: number; floor: number; mustShow: number | null; weight: number; judges: number },
  combine: "mean" | "median" | "drop-high-low" = "mean",
): CandidateCase {
  const whole = aRubric();
  const item = (id: string, mustShow: number | null) => ({
    id,
    title: id,
    group: "block" as const,
    sides: "one" as const,
    criteria: ["stance", "chamber"],
    ...(mustShow === null ? {} : { mustShow: { floor: mustShow } }),
  });
  const rubric = aRubric({
    scale: {
      levels: [0, 50, 100].map((points) => ({ title: `${points}`, points })),
      meetsLevel: 2,
    },
    criteria: whole.criteria.map((one, at) => ({
      ...one,
      weight: at === 0 ? 2 : 1,
      descriptors: one.descriptors.slice(0, 3),
    })),
    sections: [
      {
        id: "first",
        title: "First",
        weight: lines.weight,
        floor: lines.floor,
        marking: "line",
        items: [item("one", lines.mustShow)],
      },
      {
        id: "second",
        title: "Second",
        weight: 2,
        floor: lines.floor,
        marking: "line",
        items: [{ ...item("two", null), criteria: ["stance"] }],
      },
    ],
    panel: { quorum: 1, combine },
    pass: { mark: lines.pass },
  });
  let next = 0;
  return aCase({ rubric, judges: lines.judges, level: () => (levels[next++] as number) ?? 2 });
}

/** Tries everything: the least total of levels moved that turns the result. */
function byTryingAll(from: CandidateCase): number | null {
  const now = outcome(from).computed;
  const by = now === "pass" ? -1 : 1;
  let best: number | null = null;
  const walk = (at: number, marks: CandidateCase["marks"], moves: number): void => {
    if (best !== null && moves >= best) return;
    if (at === marks.length) {
      if (moves > 0 && outcome({ ...from, marks }).computed !== now) best = moves;
      return;
    }
    const level = marks[at]?.level as number;
    for (let to = level; to >= 1 && to <= 3; to += by)
      walk(
        at + 1,
        marks.map((mark, place) => (place === at ? { ...mark, level: to } : mark)),
        moves + Math.abs(to - level),
      );
  };
  walk(0, from.marks, 0);
  return best;
}

const withMoved = (from: CandidateCase, { marks }: SmallestChange): CandidateCase => ({
  ...from,
  marks: from.marks.map((mark) => {
    const its = marks.find(
      (one) =>
        one.judge === mark.judge && one.item === mark.item && one.criterion === mark.criterion,
    );
    return its ? { ...mark, level: its.to } : mark;
  }),
});

const aSmall = fc.record({
  levels: fc.array(fc.integer({ min: 1, max: 3 }), { minLength: 6, maxLength: 6 }),
  pass: fc.constantFrom(40, 50, 60, 75, 90),
  floor: fc.constantFrom(0, 25, 40, 50),
  mustShow: fc.constantFrom(null, 40, 66),
  weight: fc.constantFrom(1, 2, 5),
});

describe("the smallest change of marks that turns a result", () => {
  it("[V17] is the one that trying everything finds, and turns it", () => {
    let exact = 0;
    fc.assert(
      fc.property(aSmall, ({ levels, ...lines }) => {
        const from = aSmallCase(levels, { ...lines, judges: 2 });
        const found = smallestChange(from);
        const least = byTryingAll(from);
        if (found === null) {
          expect(least).toBeNull();
          return;
        }
        expect(found.atLeast).toBeLessThanOrEqual(least as number);
        expect(found.moves).toBeGreaterThanOrEqual(least as number);
        if (found.isExact) {
          exact++;
          expect(found.moves).toBe(least);
        }
        if (lines.mustShow === null) expect(found.moves).toBe(least);
        expect(outcome(withMoved(from, found)).computed).toBe(found.to);
        expect(found.marks.reduce((sum, { from: a, to }) => sum + Math.abs(to - a), 0)).toBe(
          found.moves,
        );
      }),
      { numRuns: 120 },
    );
    expect(exact).toBeGreaterThan(60);
  });

  it("[V17] is a bound, and says so, by rules whose marks do not add up", () => {
    fc.assert(
      fc.property(
        aSmall,
        fc.constantFrom("median", "drop-high-low"),
        ({ levels, ...lines }, rule) => {
          const from = aSmallCase(levels.slice(0, 6), { ...lines, judges: 2 }, rule as "median");
          const found = smallestChange(from);
          const least = byTryingAll(from);
          if (found === null) return;
          expect(found.atLeast).toBeLessThanOrEqual(least as number);
          expect(found.moves).toBeGreaterThanOrEqual(least as number);
          if (found.isExact) expect(found.moves).toBe(least);
          expect(outcome(withMoved(from, found)).computed).toBe(found.to);
        },
      ),
      { numRuns: 60 },
    );
  });

  it("[V17] does not claim to have the fewest where it has not", () => {
    // Found by trying everything: by the median the right single mark would do, and the heaviest first needs two or three.
    const median = aSmallCase(
      [2, 1, 2, 2, 3, 1, 2, 1, 2],
      { pass: 50, floor: 50, mustShow: 40, weight: 1, judges: 3 },
      "median",
    );
    expect(byTryingAll(median)).toBe(1);
    expect(smallestChange(median)).toMatchObject({ moves: 2, isExact: false, atLeast: 1 });
    const other = aSmallCase(
      [1, 3, 3, 1, 2, 1, 1, 3, 3],
      { pass: 40, floor: 0, mustShow: 40, weight: 5, judges: 3 },
      "median",
    );
    expect(byTryingAll(other)).toBe(2);
    expect(smallestChange(other)).toMatchObject({ moves: 3, isExact: false });
  });

  it("[V17] says when any marks would do, and when only some", () => {
    // Worked by hand: 6 marks at 50 %; weights ⅔ : ⅓ in the first section, 1 in the second, sections even. At a pass mark of 50 one level of any mark fails.
    const any = smallestChange(
      aSmallCase([2, 2, 2, 2, 2, 2], { pass: 50, floor: 0, mustShow: null, weight: 2, judges: 2 }),
    );
    expect(any).toMatchObject({ to: "retest", moves: 1, isAny: true, isExact: true });
    // At 37 only 13 points down will do: a second-section mark moves the total by 12.5, so two marks are needed, and not any two.
    const some = smallestChange(
      aSmallCase([2, 2, 2, 2, 2, 2], { pass: 37, floor: 0, mustShow: null, weight: 2, judges: 2 }),
    );
    expect(some).toMatchObject({ to: "retest", moves: 2, isAny: false, isExact: true });
    expect(some?.marks[0]).toMatchObject({ section: "second", from: 2, to: 1 });
  });

  it("[V17] is nothing where there is no result, or none can be turned", () => {
    expect(smallestChange(aCase({ level: () => null }))).toBeNull();
    const sure = aSmallCase([1, 1, 1, 1, 1, 1], {
      pass: 0,
      floor: 0,
      mustShow: null,
      weight: 2,
      judges: 2,
    });
    expect(smallestChange(sure)).toBeNull();
  });
});
