import { expect, it } from "vitest";
import { Awaited } from "../../src/book/awaited.ts";

it("[H189] nobody vouches for places of their own, whichever device they are on", () => {
  const awaited = new Awaited();
  awaited.note({ "tablet.a": 3, "tablet.b": 9 }, "chief", (count) =>
    count === "tablet.a" ? 1 : 0,
  );
  const at = (device: string, n: number, by: string) => awaited.has({ device, n, by });
  expect([1, 2, 3, 4].map((n) => at("tablet.a", n, "judge"))).toEqual([false, true, true, false]);
  expect(at("tablet.b", 9, "judge")).toBe(true);
  expect(at("tablet.b", 9, "chief")).toBe(false);
  expect(at("other", 1, "judge")).toBe(false);
});
