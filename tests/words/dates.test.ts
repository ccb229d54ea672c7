import { describe, expect, it } from "vitest";
import { clockTime, longDay } from "../../src/words/dates.ts";
import { listed } from "../../src/words/listed.ts";
import { ENGLISH } from "../../src/words/say.ts";

describe("dates, times and lists", () => {
  it("are written as the one locale says, and in another where it is asked", () => {
    expect(ENGLISH.locale).toBe("en-GB");
    expect(longDay("2026-06-06", ENGLISH.locale)).toBe("6 June 2026");
    expect(longDay("2026-06-06", "de-DE")).toBe("6. Juni 2026");
    const twoInTheAfternoon = new Date(2026, 5, 6, 14, 5).getTime();
    expect(clockTime(twoInTheAfternoon, ENGLISH.locale)).toBe("14:05");
    expect(listed(["A", "B", "C"], ENGLISH.locale)).toBe("A, B and C");
    expect(listed(["A", "B"], "de-DE")).toBe("A und B");
  });
});
