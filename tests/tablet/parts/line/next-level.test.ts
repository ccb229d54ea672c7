import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  afterSideTap,
  afterStripTap,
  type Held,
} from "../../../../src/tablet/parts/line/next-level.ts";

const four = { levels: 4, meetsLevel: 3 };
const scales = fc
  .integer({ min: 2, max: 7 })
  .chain((levels) =>
    fc.record({ levels: fc.constant(levels), meetsLevel: fc.integer({ min: 1, max: levels }) }),
  );

describe("what a tap makes of a cell", () => {
  it("marks, changes, and blanks when the same level is tapped again", () => {
    expect(afterStripTap(undefined, undefined, 2)).toBe(2);
    expect(afterStripTap(2, "tapped", 4)).toBe(4);
    expect(afterStripTap(2, "tapped", 2)).toBe("cleared");
    expect(afterStripTap("not-seen", "tapped", "not-seen")).toBe("cleared");
  });

  it("confirms a level that a rest filled in, instead of taking it off", () => {
    expect(afterStripTap(3, "rest", 3)).toBe(3);
  });

  it("left of the line: nearly, not yet, blank; right of it: strong, blank", () => {
    expect(afterSideTap(undefined, "below", four)).toBe(2);
    expect(afterSideTap(2, "below", four)).toBe(1);
    expect(afterSideTap(1, "below", four)).toBe("cleared");
    expect(afterSideTap(undefined, "above", four)).toBe(4);
    expect(afterSideTap(4, "above", four)).toBe("cleared");
    expect(afterSideTap(2, "above", four)).toBe(4);
    expect(afterSideTap(3, "below", four)).toBe(2);
  });

  it("comes back to blank after every level of a side, on any scale", () => {
    fc.assert(
      fc.property(scales, fc.constantFrom<"below" | "above">("below", "above"), (scale, side) => {
        const seen: number[] = [];
        let held: Held;
        for (let tap = 0; tap < 8; tap += 1) {
          const next = afterSideTap(held, side, scale);
          if (next === "cleared") break;
          expect(next).toBeGreaterThanOrEqual(1);
          expect(next).toBeLessThanOrEqual(scale.levels);
          seen.push(next);
          held = next;
        }
        const below = scale.meetsLevel - 1;
        const above = scale.levels - scale.meetsLevel;
        expect(new Set(seen).size).toBe(seen.length);
        expect(seen.length).toBe(side === "below" ? below || above : above || below);
      }),
    );
  });
});
