import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { refusal } from "../../../../src/tablet/parts/line/contact.ts";

const hall = { width: 1180, height: 820, busy: false, deaf: false };
const finger = { x: 500, y: 400, radius: 12, touch: true };

const spread = (from: number, to: number) =>
  fc.integer({ min: 0, max: 10_000 }).map((step) => from + (step / 10_000) * (to - from));

describe("which contacts may mark", () => {
  it("takes a fingertip anywhere but the rim", () => {
    fc.assert(
      fc.property(spread(8, 1171.9), spread(8, 811.9), spread(0, 40), (x, y, radius) => {
        expect(refusal({ x, y, radius, touch: true }, hall)).toBeNull();
      }),
    );
  });

  it("refuses a thumb that begins within 8 pixels of any edge", () => {
    for (const at of [{ x: 7.9 }, { x: 1172 }, { y: 7.9 }, { y: 812 }])
      expect(refusal({ ...finger, ...at }, hall)).toBe("edge");
  });

  it("refuses a palm, wider than 40 pixels in radius", () => {
    expect(refusal({ ...finger, radius: 40.1 }, hall)).toBe("palm");
  });

  it("refuses a second contact, and every contact just after the columns changed", () => {
    expect(refusal(finger, { ...hall, busy: true })).toBe("second");
    expect(refusal(finger, { ...hall, deaf: true })).toBe("deaf");
  });

  it("holds neither rim nor width against a mouse or a pen", () => {
    expect(refusal({ x: 0, y: 0, radius: 60, touch: false }, hall)).toBeNull();
  });
});
