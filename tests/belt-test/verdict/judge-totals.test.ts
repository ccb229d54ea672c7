import { describe, expect, it } from "vitest";
import { judgeTotals } from "../../../src/belt-test/verdict/judge-totals.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { aCase } from "../../builders/a-case.ts";
import { anId } from "../../builders/an-id.ts";

describe("what each judge's marks alone come to", () => {
  it("[V30] with one judge it is the score", () => {
    const from = aCase({ judges: 1 });
    expect(judgeTotals(from)).toEqual([
      { judge: "judge-1", percent: outcome(from).score?.percent },
    ]);
  });
  it("[V30] worked by hand, judges apart, struck marks out, too little seen no total", () => {
    // Blocks at Nearly: (3 × 33.3 + 100) / 4 = 49.975; at Meets: (3 × 66.7 + 100) / 4 = 75.025.
    const from = aCase({
      judges: 3,
      level: ({ criterion, section }, judge) =>
        criterion === "done" ? 2 : judge === 3 && section === "blocks" ? null : judge + 1,
    });
    expect(judgeTotals(from)).toEqual([
      { judge: "judge-1", percent: expect.closeTo(49.975, 9) },
      { judge: "judge-2", percent: expect.closeTo(75.025, 9) },
      { judge: "judge-3", percent: null },
    ]);
    const struck = {
      question: "relation/judge-1",
      decision: "struck" as const,
      judge: anId("judge-1"),
    };
    expect(judgeTotals({ ...from, settlements: [struck] }).map(({ judge }) => judge)).toEqual([
      "judge-2",
      "judge-3",
    ]);
  });
});
