import { describe, expect, it } from "vitest";
import { complete5, rotation3of7 } from "../../src/lab/designs.ts";
import { oddFound } from "../../src/lab/odd-judges.ts";

const mean = (values: Float64Array | undefined) =>
  (values ?? new Float64Array()).reduce((sum, value) => sum + value, 0) / (values?.length ?? 1);

// The whole of it is `npm run fairness`; these are its first minutes, on other seeds.
describe("odd judges in made-up tests", { timeout: 60_000 }, () => {
  it("[E1] are not seen in one panel of twenty where there are none", () => {
    for (const design of [complete5, rotation3of7])
      expect(mean(oddFound(design, 30, 60, 99_001).falseAlarm)).toBeLessThan(0.1);
  });
  it("[E2] are found for what they are in a complete panel of five", () => {
    const { found } = oddFound(complete5, 30, 60, 99_501);
    expect(mean(found.get("flat"))).toBe(1);
    expect(mean(found.get("compressed, slope .4"))).toBeGreaterThan(0.9);
    expect(mean(found.get("own students +.5"))).toBeGreaterThan(0.65);
    expect(mean(found.get("severe or lenient by 3 sd"))).toBeGreaterThan(0.1);
  });
});
