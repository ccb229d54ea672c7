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
      await results(
        "demo-data/finished-test-marks.csv",
        "--roster",
        "demo-data/roster.csv",
        "--date",
        "2026-06-13",
      ),
    ).toEqual(book);
  });

  it("says of each judge how much lower, whether that is chance, whether it is common, and how fast", async () => {
    const { out } = await run(resolve("."), ["report", "demo-data/finished-test.json", "--json"]);
    const { judges } = JSON.parse(out) as {
      judges: {
        judge: string;
        standing: string;
        beyondChance: boolean;
        beyondCommon: boolean;
        pace: { places: number; medianSeconds: number; quickShare: number; hasty: boolean };
      }[];
    };
    // The scenario makes one judge of five a third of a level severe: sure, and as common as judges are (.3 of a step).
    expect(
      judges.filter(({ standing }) => standing !== "like-others").map(({ judge }) => judge),
    ).toEqual(["okonkwo"]);
    const severe = judges.find(({ judge }) => judge === "okonkwo");
    expect(severe).toMatchObject({
      standing: "severe",
      beyondChance: true,
      beyondCommon: false,
    });
    const table = await run(
      resolve("."),
      ["report", "demo-data/finished-test.json"],
      undefined,
      80,
    );
    expect(table.out).toContain(
      [
        "   Tobias Okonkwo: 0.27 of a level below the others (give or take 0.06), more",
        "     than chance but no more than judges commonly differ",
        "   Marguerite Sato-Lind: 0.14 of a level above the others (give or take 0.06)",
      ].join("\n"),
    );
    for (const { pace } of judges) {
      expect(pace.places).toBeGreaterThan(50);
      expect(pace.medianSeconds).toBeGreaterThan(10);
      expect(pace.hasty).toBe(false);
    }
  });

  it("names what most of a class missed, and rests its marks on a number of cases", async () => {
    const folder = resolve(".");
    const { out } = await run(folder, ["report", "demo-data/finished-test.json", "--json"]);
    const { items } = JSON.parse(out) as {
      items: {
        rubric: string;
        missed: { item: string; missed: number }[];
        passMarks: { section: string | null; group: { mark: number | null; cases: number } }[];
      }[];
    };
    const green = items.find(({ rubric }) => rubric.startsWith("orange-to-green"));
    expect(green?.missed.map(({ item, missed }) => [item, missed])).toEqual([
      ["knife-hand-block", expect.closeTo(5 / 6, 9)],
    ]);
    for (const { passMarks } of items)
      for (const { group } of passMarks) expect(group.mark === null).toBe(group.cases < 10);
    const table = await run(folder, ["report", "demo-data/finished-test.json"], undefined, 100);
    expect(table.out).toMatch(/What most of the class missed\n─+\n.*Knife-hand block \(5 of 6/);
  });
});
