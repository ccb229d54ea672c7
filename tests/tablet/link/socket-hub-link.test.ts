import { describe, expect, it } from "vitest";
import { nextTryMs } from "../../../src/tablet/link/socket-hub-link.ts";

describe("the next try of a line that dropped", () => {
  it("waits twice as long each time, and never much longer than eight seconds", () => {
    const tries = Array.from({ length: 12 }, (_, index) => nextTryMs(index, 0.5));
    expect(tries.slice(0, 4)).toEqual([500, 1000, 2000, 4000]);
    expect(Math.max(...tries)).toBe(8000);
  });
  it("is spread, so that twenty tablets do not knock at once", () => {
    expect(nextTryMs(3, 0)).toBe(2000);
    expect(nextTryMs(3, 0.999)).toBeGreaterThan(5900);
  });
});
