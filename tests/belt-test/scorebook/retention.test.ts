import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { mayGoFromMs, namesMonths, retention } from "../../../src/belt-test/scorebook/retention.ts";

const DAY_MS = 24 * 3_600_000;
const isoDay = (ms: number) => new Date(ms).toISOString().slice(0, 10);
const aDay = fc.integer({ min: 0, max: 36_524 }).map((days) => isoDay(days * DAY_MS));
const aPeriod = fc.integer({ min: namesMonths.least, max: namesMonths.most });

describe("how long names are kept", () => {
  // Worked by hand on a calendar.
  it.each([
    ["2026-06-06", 24, "2028-06-06"],
    ["2026-08-31", 6, "2027-02-28"],
    ["2027-08-31", 6, "2028-02-29"],
    ["2024-02-29", 24, "2026-02-28"],
    ["2026-12-05", 120, "2036-12-05"],
    ["2026-10-31", 13, "2027-11-30"],
  ])("a test of %s kept %i months is due on %s", (date, months, due) => {
    expect(retention(date, months, "2026-01-01").due).toBe(due);
  });

  it("is kept, then soon due for thirty days, then due, and never goes back", () => {
    fc.assert(
      fc.property(aDay, aPeriod, fc.integer({ min: -400, max: 400 }), (date, months, offset) => {
        const { due } = retention(date, months, date);
        const today = isoDay(Date.parse(due) + offset * DAY_MS);
        const its = retention(date, months, today);
        expect(its.daysLeft + offset).toBe(0);
        expect(its.state).toBe(offset >= 0 ? "due" : offset >= -30 ? "soon" : "kept");
      }),
    );
  });

  it("is due later when kept longer", () => {
    fc.assert(
      fc.property(aDay, aPeriod, aPeriod, (date, one, other) => {
        const [short, long] = [Math.min(one, other), Math.max(one, other)];
        const due = (months: number) => retention(date, months, date).due;
        expect(due(short) <= due(long)).toBe(true);
      }),
    );
  });

  it.each([5, 121, 12.5, Number.NaN])("takes no period of %d months", (months) => {
    expect(() => retention("2026-06-06", months, "2026-06-06")).toThrow(RangeError);
  });

  it("lets nothing go by itself that nobody was shown, nor before thirty days of showing, nor before its day", () => {
    expect(mayGoFromMs("2028-06-06", null, Date.UTC(2030, 0))).toBeNull();
    const told = fc.integer({ min: 0, max: 400 });
    fc.assert(
      fc.property(aDay, told, fc.integer({ min: -400, max: 400 }), (due, days, offset) => {
        const now = Date.parse(due) + offset * DAY_MS;
        const from = mayGoFromMs(due, days, now) ?? Number.NaN;
        expect(from).toBeGreaterThanOrEqual(Date.parse(due));
        expect(from <= now).toBe(days >= 30 && offset >= 0);
      }),
    );
  });
});
