import fc from "fast-check";
import { expect, it } from "vitest";
import { levelShape } from "../../../src/tablet/parts/level-shape.ts";

it("draws the usual four as ring, half disc, disc, ringed disc", () => {
  expect([1, 2, 3, 4].map((level) => levelShape(level, 3))).toEqual([
    { fill: 0, rings: 0 },
    { fill: 0.5, rings: 0 },
    { fill: 1, rings: 0 },
    { fill: 1, rings: 1 },
  ]);
});

it("never draws two levels of a scale alike", () => {
  fc.assert(
    fc.property(fc.integer({ min: 2, max: 7 }), fc.integer({ min: 1, max: 7 }), (levels, meets) => {
      fc.pre(meets <= levels);
      const shapes = Array.from({ length: levels }, (_, index) =>
        JSON.stringify(levelShape(index + 1, meets)),
      );
      expect(new Set(shapes).size).toBe(levels);
    }),
  );
});
