import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { daysAfter, monthsAfter } from "../../../src/belt-test/feedback/calendar.ts";

// Worked by hand on a calendar; 2028 is a leap year.
describe("dates of a retest", () => {
  it.each([
    ["2026-06-06", 28, "2026-07-04"],
    ["2026-12-31", 1, "2027-01-01"],
    ["2028-02-28", 1, "2028-02-29"],
    ["2026-03-28", 2, "2026-03-30"], // clocks change in Europe in between
    ["2026-06-06", 0, "2026-06-06"],
  ])("[F6] %s and %i days is %s", (date, days, then) => {
    expect(daysAfter(date, days)).toBe(then);
  });

  it.each([
    ["2026-06-06", 12, "2027-06-06"],
    ["2026-08-31", 6, "2027-02-28"],
    ["2027-08-31", 6, "2028-02-29"],
    ["2026-01-31", 1, "2026-02-28"],
    ["2026-11-15", 2, "2027-01-15"],
    ["2026-06-06", 0, "2026-06-06"],
  ])("[F6] %s and %i months is %s", (date, months, then) => {
    expect(monthsAfter(date, months)).toBe(then);
  });

  it("[F6] a longer wait is never an earlier day", () => {
    const day = fc.integer({ min: 0, max: 20_000 }).map((days) => daysAfter("2020-01-01", days));
    fc.assert(
      fc.property(day, fc.nat(730), fc.nat(60), (date, days, months) => {
        expect(daysAfter(date, days + 1) > daysAfter(date, days)).toBe(true);
        expect(monthsAfter(date, months + 1) > monthsAfter(date, months)).toBe(true);
      }),
    );
  });

  it("[F6] refuses what is no date", () => {
    expect(() => daysAfter("soon", 1)).toThrow(RangeError);
    expect(() => monthsAfter("2026-13-01", 1)).toThrow(RangeError);
  });
});
