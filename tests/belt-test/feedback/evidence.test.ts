import { describe, expect, it } from "vitest";
import { evidence } from "../../../src/belt-test/feedback/evidence.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { allMarks } from "../../builders/all-marks.ts";

const rubric = aRubric();

describe("what was seen of a candidate", () => {
  it("[F4] shares the whole test among its places", () => {
    const all = evidence(
      rubric,
      allMarks(rubric, () => 1),
      [],
    );
    expect(all.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
    // Worked by hand: blocks 3/4, rising block one part of three, one of two sides, one of three criteria.
    expect(all[0]?.share).toBeCloseTo((3 / 4) * (1 / 3) * (1 / 2) * (1 / 3), 12);
  });

  it("[F1] comes to the last digit the same, whichever judge is read first", () => {
    // 0.1 + 0.2 + 0.3 is not 0.3 + 0.2 + 0.1 in the computer's arithmetic.
    const points = [0.1, 0.2, 0.3].map((worth, at) => ({ title: `Level ${at}`, points: worth }));
    const awkward = aRubric({
      scale: { levels: points, meetsLevel: 2 },
      criteria: rubric.criteria.map((one) => ({ ...one, descriptors: ["low", "middle", "high"] })),
    });
    const marks = allMarks(awkward, (place, judge) =>
      (place.criterion as string) === "done" ? 2 : judge,
    );
    expect(evidence(awkward, [...marks].reverse(), [])).toEqual(evidence(awkward, marks, []));
  });

  it("[F8] blank and not seen leave no evidence", () => {
    const marks = allMarks(rubric, (_, judge) => (judge === 1 ? "not-seen" : undefined));
    expect(evidence(rubric, marks, [])).toEqual([]);
  });
});
