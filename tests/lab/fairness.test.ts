import { describe, expect, it } from "vitest";
import { dayOf } from "../../src/lab/day.ts";
import {
  complete3,
  linkedDesigns,
  mainDesigns,
  oddDesigns,
  productDesigns,
  rings2of5,
  rotation2of5,
  rotation3of7,
} from "../../src/lab/designs.ts";
import { differenceInterval, meanInterval, ratioInterval } from "../../src/lab/interval.ts";
import { type Judged, judged } from "../../src/lab/judged.ts";
import { scored } from "../../src/lab/scored.ts";
import { CELL_IN_SECTION, CELL_IN_WHOLE, CELLS, SECTION_CELLS } from "../../src/lab/setting.ts";
import { BAR, isPassed, trueSections } from "../../src/lab/truths.ts";

const wrong = (
  of: Judged,
  truth: "absolute" | "panel",
  by: "plain" | "adjusted" | "known" | "oracle",
) => meanInterval(of.wrong[truth][by]).value;
const SEED = 77_001;
const REPLICATES = 120;

// The whole of it is `npm run fairness`; these are its first minutes, on other seeds.
describe("made-up tests with a known answer", { timeout: 60_000 }, () => {
  it("[P64] most of the luck of rotation is taken out, and little is left to an oracle", () => {
    for (const design of [rotation2of5, rotation3of7]) {
      const found = judged(design, 30, REPLICATES, SEED);
      const { plain, adjusted, oracle } = found.wrong.panel;
      const gap = (a: Float64Array, b: Float64Array) =>
        a.map((value, i) => value - (b[i] as number));
      expect(differenceInterval(adjusted, plain).high).toBeLessThan(0);
      expect(ratioInterval(gap(plain, adjusted), gap(plain, oracle)).value).toBeGreaterThan(0.6);
      expect(found.passing).toBeGreaterThan(0.8);
      expect(found.passing).toBeLessThan(0.9);
    }
  });

  it("[P64] known severities help where a day's own marks cannot: complete panels and rings that share nobody", () => {
    for (const design of [complete3, rings2of5]) {
      const found = judged(design, 30, REPLICATES, SEED);
      expect([...found.wrong.panel.adjusted]).toEqual([...found.wrong.panel.plain]);
      expect([...found.wrong.absolute.adjusted]).toEqual([...found.wrong.absolute.plain]);
      expect(wrong(found, "absolute", "known")).toBeLessThan(
        wrong(found, "absolute", "plain") - 0.008,
      );
      expect(wrong(found, "absolute", "oracle")).toBeLessThan(wrong(found, "absolute", "plain"));
    }
  });

  it("[P64] adjusting does no harm on an odd day, nor with four levels marked by exception", () => {
    for (const design of [...oddDesigns, ...productDesigns, ...linkedDesigns, ...mainDesigns]) {
      const found = judged(design, 30, 12, SEED);
      for (const truth of ["absolute", "panel"] as const)
        for (const by of ["adjusted", "known"] as const) {
          const { low } = differenceInterval(found.wrong[truth][by], found.wrong[truth].plain);
          expect(low, `${design.name}, ${truth}, ${by}`).toBeLessThan(0.003);
        }
    }
  });
});

describe("the made-up day itself", () => {
  it("comes again from its seed, and another from another", () => {
    const [one, same, other] = [1, 1, 2].map((seed) => dayOf(rotation2of5, 6, seed));
    expect(one?.marks).toEqual(same?.marks);
    expect(one?.marks).not.toEqual(other?.marks);
  });

  it("is weighed to one, and judged by the pass mark and every floor", () => {
    expect(CELL_IN_WHOLE.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 12);
    expect(
      CELL_IN_SECTION.subarray(0, SECTION_CELLS).reduce((sum, one) => sum + one, 0),
    ).toBeCloseTo(1, 12);
    expect(isPassed([1.81, 1.81, 1.81, 1.81], 0, BAR)).toBe(true);
    expect(isPassed([1.8, 1.81, 1.81, 1.81], 0, BAR)).toBe(false);
    expect(isPassed([4, 4, 4, 1.4], 0, BAR)).toBe(false);
  });

  it("has marks that come to the truth, less what the judges took off", () => {
    const day = dayOf({ ...complete3, severitySd: 0 }, 60, 5);
    const { sections } = scored(day);
    const off = trueSections(day, "panel").map((value, at) => value - (sections[at] as number));
    expect(Math.abs(off.reduce((sum, one) => sum + one, 0) / off.length)).toBeLessThan(0.05);
  });

  it("with four levels every mark not noticed is a rest mark at Meets", () => {
    const day = dayOf(productDesigns[0] as (typeof productDesigns)[0], 6, 5);
    const rest = [...day.isRest].filter(Boolean).length / (6 * 3 * CELLS);
    expect(rest).toBeGreaterThan(0.6);
    day.marks.forEach((mark, at) => {
      expect([1, 2, 3, 4]).toContain(mark);
      if (day.isRest[at]) expect(mark).toBe(3);
      else expect(mark).not.toBe(3);
    });
  });
});
