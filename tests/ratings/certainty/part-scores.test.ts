import { describe, expect, it } from "vitest";
import type { Part } from "../../../src/ratings/certainty/asked.ts";
import { partScores } from "../../../src/ratings/certainty/part-scores.ts";

/** Two sections of four cells each, half of the total each. */
const parts: Part[] = [0, 1].map((section) => ({
  cells: Int32Array.from({ length: 4 }, (_, k) => 4 * section + k),
  weights: new Float64Array(4).fill(0.25),
  floor: 0,
  share: 0.5,
  within: null,
}));

/** One candidate; for each judge the sections that judge saw. */
function wholeShare(saw: readonly (readonly number[])[]): number | undefined {
  const seen = saw.flatMap((sections, judge) =>
    sections.flatMap((section) =>
      [0, 1, 2, 3].map((k) => ({ judge, cell: 4 * section + k, level: 25 * ((judge + k) % 4) })),
    ),
  );
  const [found] = partScores({
    marks: {
      judges: saw.length,
      candidates: 1,
      candidate: new Int32Array(seen.length),
      judge: Int32Array.from(seen, ({ judge }) => judge),
      cell: Int32Array.from(seen, ({ cell }) => cell),
      level: Float64Array.from(seen, ({ level }) => level),
      weights: new Float64Array(8).fill(0.125),
    },
    candidates: [{ parts, pass: 50, isBarred: false, combine: "mean" }],
    tapped: 1,
  });
  return found?.wholeShare;
}

describe("what a cell comes to in one judge's score of the whole", () => {
  // Worked by hand: eight cells of one eighth each, 8 · (1/8)² = 1/8.
  it("[V37] is the same whether or not somebody else saw a single section", () => {
    const both = [0, 1];
    expect(wholeShare([both, both])).toBeCloseTo(1 / 8, 12);
    expect(wholeShare([both, both, [0], [1]])).toBeCloseTo(1 / 8, 12);
  });
  it("[V37] is not told where nobody saw something of every section", () => {
    expect(wholeShare([[0], [0], [1], [1]])).toBe(0);
  });
});
