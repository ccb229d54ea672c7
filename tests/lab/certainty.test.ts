import { describe, expect, it } from "vitest";
import { calibrationError, foundAmongFirst, wrongAmongSure } from "../../src/lab/calibration.ts";
import { certain, pooled } from "../../src/lab/certain.ts";
import {
  complete3,
  mainDesigns,
  oddDesigns,
  productDesigns,
  rotation2of5,
} from "../../src/lab/designs.ts";

const SEED = 88_001;
const ALL = Number.POSITIVE_INFINITY;

// The whole of it is `npm run fairness`; these are its first minutes, on other seeds.
describe("certainty in made-up tests with a known answer", { timeout: 60_000 }, () => {
  it("[C6] is right as often as it says, on half steps and with four levels marked by exception", () => {
    for (const designs of [mainDesigns, productDesigns]) {
      const heap = pooled(designs.map((design) => certain(design, 30, 40, SEED)));
      expect(calibrationError(heap, ALL).error.value).toBeLessThan(1.2);
      expect(calibrationError(heap, 0.95).error.low).toBeLessThan(3);
      expect(wrongAmongSure(heap, 0.95).value).toBeLessThan(0.8);
      // It must also dare to be sure of most.
      expect(calibrationError(heap, 0.95).share).toBeLessThan(0.35);
    }
  });

  it("[C6] a judge who gave everybody the same mark is left out of it", () => {
    const flat = oddDesigns.find(({ name }) => name === "complete 3, one flat judge");
    const found = certain(flat as (typeof oddDesigns)[0], 30, 60, SEED);
    expect(calibrationError(found, ALL).error.value).toBeLessThan(3);
    expect(wrongAmongSure(found, 0.95).value).toBeLessThan(1);
  });

  it("[C8] most wrong verdicts are among the least sure", () => {
    for (const [design, tenth, fifth] of [
      [complete3, 60, 85],
      [rotation2of5, 52, 80],
    ] as const) {
      const found = certain(design, 30, 120, SEED);
      expect(foundAmongFirst(found, 0.1).value).toBeGreaterThan(tenth);
      expect(foundAmongFirst(found, 0.2).value).toBeGreaterThan(fifth);
    }
  });

  it("measures what it should: a certainty that is always a tenth too high errs by a tenth", () => {
    const sure = new Float64Array(30_000).fill(0.8);
    const isWrong = Uint8Array.from(sure, (_, i) => Number(i % 10 < 3));
    const made = { design: complete3, candidates: 30, replicates: 1000, sure, isWrong };
    expect(calibrationError(made, ALL).error.value).toBeCloseTo(10, 6);
    expect(wrongAmongSure(made, 0.5).value).toBeCloseTo(30, 6);
  });
});
