import { describe, expect, it } from "vitest";
import { shownPercent } from "../../../src/tablet/in-words/shown-percent.ts";
import { linePlace } from "../../../src/tablet/screens/board/board-place.ts";
import { aRubric } from "../../builders/a-rubric.ts";

describe("a section's place on the line", () => {
  const rubric = aRubric();
  const line = { marking: "line" as const };
  const list = { marking: "checklist" as const };

  it("hangs left below Meets, right above it, and on it when everything meets", () => {
    expect(linePlace(66.7, line, rubric)).toEqual({ offset: 0, level: 3 });
    expect(linePlace(0, line, rubric)).toEqual({ offset: -1, level: 1 });
    expect(linePlace(100, line, rubric)).toEqual({ offset: 1, level: 4 });
    expect(linePlace(33.35, line, rubric).offset).toBeCloseTo(-0.5, 9);
  });

  it("has everything done as the line of a list", () => {
    expect(linePlace(100, list, rubric)).toEqual({ offset: 0, level: 3 });
    expect(linePlace(50, list, rubric)).toEqual({ offset: -0.5, level: 2 });
    expect(linePlace(0, list, rubric)).toEqual({ offset: -1, level: 1 });
  });
});

describe("a percentage beside its limit", () => {
  it("never reads as the limit when it is below it", () => {
    expect(shownPercent(71.34, 60)).toBe("71.3");
    expect(shownPercent(34.99, 35)).toBe("34.99");
    expect(shownPercent(34.9996, 35)).toBe("34.9996");
    expect(shownPercent(35, 35)).toBe("35");
  });
});
