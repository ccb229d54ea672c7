import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { CHILDREN, RawDay } from "./a-raw-day.ts";
import type { RawTablet } from "./a-raw-tablet.ts";

let day: RawDay;
let judge: RawTablet;
beforeAll(async () => {
  const begun = await RawDay.begin(["first"]);
  day = begun.day;
  [judge] = begun.judges as [RawTablet];
}, 60_000);
afterAll(() => day.end());

describe("a chief who would read before the reveal", () => {
  it("[H86] is handed no copy of the hub while any mark is closed, and told why and where it lies; when the test is closed it is", async () => {
    const { token } = day.chief.who;
    const newest = () => day.hub.ask("GET", "/api/backups/newest", { token });
    const [MIA = "", BEN = ""] = CHILDREN;
    expect(await judge.handIn(judge.mark(MIA, 2))).toEqual([undefined]);
    const made = await day.hub.ask("POST", "/api/backups", { token });
    const { backups } = made.json as { backups: { folder: string; kept: { bytes: number }[] } };
    expect(backups.kept[0]?.bytes).toBeGreaterThan(0);
    // By the page it would tell how often judges have tapped.
    expect((backups.kept[0]?.bytes ?? 0) % 100_000).toBe(0);
    const refused = await newest();
    expect([refused.status, refused.json]).toEqual([
      409,
      { code: "COPY_SEALED", with: { title: "Summer", folder: backups.folder } },
    ]);
    const shelf = async () => (await day.hub.ask("GET", "/api/gradings", { token })).json.gradings;
    expect(await shelf()).toEqual([
      {
        grading: day.grading,
        title: "Summer",
        date: "2026-06-06",
        isExample: false,
        state: "running",
      },
    ]);
    for (const child of [MIA, BEN])
      for (const item of ["rising", "low"])
        expect(await judge.handIn(judge.mark(child, 3, {}, { item }))).toEqual([undefined]);
    expect(await judge.handIn(judge.lock(MIA))).toEqual([undefined]);
    expect((await newest()).status).toBe(409);
    await day.plans(["closed", {}]);
    expect((await newest()).status).toBe(200);
    expect(await shelf()).toMatchObject([{ state: "closed", entries: expect.any(Number) }]);
  }, 30_000);
});
