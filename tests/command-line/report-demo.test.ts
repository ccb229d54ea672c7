import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { run } from "./run.ts";

interface Reported {
  candidates: { candidate: string; number: number; computed: string; scoreExact: string | null }[];
}

describe("report on the invented test in demo-data", () => {
  it("says the same of the scorebook and of the marks on paper", async () => {
    const folder = resolve(".");
    const results = async (...args: string[]) => {
      const { code, out } = await run(folder, ["report", ...args, "--json"]);
      expect(code).toBe(0);
      const { candidates } = JSON.parse(out) as Reported;
      return candidates.map(({ number, computed, scoreExact }) => ({
        number,
        computed,
        scoreExact,
      }));
    };
    const book = await results("demo-data/finished-test.json");
    expect(book.length).toBeGreaterThan(20);
    expect(
      await results("demo-data/finished-test-marks.csv", "--roster", "demo-data/roster.csv"),
    ).toEqual(book);
  });
});
