import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { algorithmA } from "../../src/ratings/algorithm-a.ts";
import { modifiedZ } from "../../src/ratings/modified-z.ts";
import { LEVEL_PARTS, panelMark } from "../../src/ratings/panel-mark.ts";
import reference from "../reference/algorithm-a.json" with { type: "json" };

describe("Algorithm A", () => {
  // Sources beside the values: tests/reference/algorithm-a.json.
  it.each(reference.cases)(
    "[P8] agrees with the published values: $id",
    ({ values, mean, spread, tolerance }) => {
      const found = algorithmA(values);
      expect(Math.abs(found.mean - mean)).toBeLessThanOrEqual(tolerance);
      expect(Math.abs(found.spread - spread)).toBeLessThanOrEqual(tolerance);
    },
  );

  it("[P8] shifts with its values and stretches with them", () => {
    const values = fc.array(fc.integer({ min: 1, max: 7 }), { minLength: 2, maxLength: 9 });
    fc.assert(
      fc.property(values, fc.integer({ min: -50, max: 50 }), (marks, shift) => {
        const { mean, spread } = algorithmA(marks);
        const moved = algorithmA(marks.map((mark) => 3 * mark + shift));
        expect(moved.mean).toBeCloseTo(3 * mean + shift, 6);
        expect(moved.spread).toBeCloseTo(3 * spread, 6);
      }),
    );
  });

  it("[P8] a wild value far from eight that agree closely hardly moves it", () => {
    // The plain mean of these is 13.
    expect(algorithmA([9, 10, 10, 11, 10, 9, 11, 34]).mean).toBeLessThan(10.6);
    expect(algorithmA([7]).mean).toBe(7);
  });
});

describe("the robust mean as a panel mark", () => {
  it("[P8] falls when a mark rises by no more than a fifth of a level, and not at all with three or four judges", () => {
    const falls = (judges: number): number => {
      let most = 0;
      const all = Array.from({ length: 4 ** judges }, (_, at) =>
        Array.from({ length: judges }, (__, judge) => 1 + (Math.floor(at / 4 ** judge) % 4)),
      );
      for (const marks of all) {
        const [first = 0, ...others] = marks;
        if (first === 4) continue;
        const [was, is] = [marks, [first + 1, ...others]].map(
          (given) => panelMark(given, "robust").parts / LEVEL_PARTS,
        ) as [number, number];
        most = Math.max(most, was - is);
      }
      return most;
    };
    expect([falls(3), falls(4)].map((most) => Math.max(0, most - 1e-6))).toEqual([0, 0]);
    expect(falls(5)).toBeCloseTo(0.2, 6);
    expect(falls(6)).toBeLessThan(0.2);
  });
});

describe("standing alone", () => {
  it("[P9] is measured by the modified z", () => {
    // By hand: median 3, distances 2 1 0 1 7, their median 1: 0.6745 × 7.
    expect(modifiedZ([1, 2, 3, 4, 10])).toEqual(
      [-1.349, -0.6745, 0, 0.6745, 4.7215].map((z) => expect.closeTo(z, 10)),
    );
    // By hand: more than half equal, mean distance 2/5: 2 / (1.253314 × 0.4).
    expect(modifiedZ([3, 3, 3, 3, 1])[4]).toBeCloseTo(-2 / (1.253314 * 0.4), 10);
  });

  it("[P9] nobody stands alone among equals, or among two", () => {
    expect(modifiedZ([2, 2, 2, 2])).toEqual([0, 0, 0, 0]);
    expect(modifiedZ([1, 4])).toEqual([0, 0]);
  });
});
