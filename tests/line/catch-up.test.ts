import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { inBatches } from "../../src/line/catch-up.ts";
import { MAX_BATCH } from "../../src/line/protocol.ts";

describe("catching up in batches", () => {
  it("[Y8] loses nothing, keeps the order, and never fills a batch above its bounds", () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 80 })),
        fc.integer({ min: 1, max: 100 }),
        fc.integer({ min: 1, max: 9 }),
        (weights, bytes, most) => {
          const batches = inBatches(weights, (weight) => weight, { bytes, most });
          expect(batches.flat()).toEqual(weights);
          for (const batch of batches) {
            expect(batch.length).toBeGreaterThan(0);
            expect(batch.length).toBeLessThanOrEqual(most);
            const size = batch.reduce((sum, weight) => sum + weight, 0);
            expect(size <= bytes || batch.length === 1).toBe(true);
          }
        },
      ),
    );
  });

  it("[Y8] sends two thousand small entries in ten frames", () => {
    const entries = Array.from({ length: 2000 }, (_, index) => index);
    expect(inBatches(entries, () => 150).length).toBe(2000 / MAX_BATCH);
  });
});
