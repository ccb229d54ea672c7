import { expect, it } from "vitest";
import { scaleStep } from "../../../src/belt-test/verdict/scale-step.ts";

const by = (levels: number) => ({
  rubric: {
    scale: {
      meetsLevel: 2,
      levels: Array.from({ length: levels }, (_, at) => ({ title: `${at}`, points: at })),
    },
  },
});

it("a quarter of the scale is .75 of four levels, and where scales mix the mean over candidates", () => {
  expect(scaleStep([by(4)])).toBe(0.75);
  // Worked by hand: (.75 + .75 + 1.5) / 3.
  expect(scaleStep([by(4), by(4), by(7)])).toBe(1);
  expect(scaleStep([])).toBe(1);
});
