import { beforeEach, describe, expect, it } from "vitest";
import { isSettled, livedDays, liveOn } from "../../../src/hub/forgetting/lived-days.ts";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const noon = Date.UTC(2026, 5, 6, 12);

let kept: Map<string, string>;
beforeEach(() => {
  kept = new Map();
});
const door = {
  setting: (name: string) => kept.get(name),
  keepSetting: (name: string, value: string) => void kept.set(name, value),
};
/** Looks at the clock at these days after noon of the first. @returns days lived through by then */
async function lived(...days: number[]): Promise<number> {
  for (const day of days) await liveOn(door, noon + day * DAY);
  return (await livedDays(door)).count;
}
const isQuiet = async (day: number) => isSettled(await livedDays(door), noon + day * DAY);

describe("days that a hub has lived through", () => {
  it("[H59] are those on which it was at work", async () => {
    expect(await lived(0, 0.1, 1, 1.2, 5, 6)).toBe(4);
    expect(await isQuiet(6)).toBe(true);
  });

  it.each([
    ["two days back", -2],
    ["some hours back", -0.4],
    ["years back", -4000],
    ["two days on", 2],
    ["years on", 4000],
  ])("[H176] are none that a clock makes by going back and forth: %s", async (_, off) => {
    const before = await lived(0, 1, 2);
    for (let time = 0; time < 40; time++) await lived(2 + off, 2);
    expect(await lived(2.01)).toBe(before);
    // By the look, though hours or days seem to have passed since the clock went back.
    expect(await isQuiet(2.02)).toBe(false);
    expect(await lived(2.9)).toBe(before + 1);
    expect(await isQuiet(2.9)).toBe(false);
    expect(await lived(3.1)).toBe(before + 1);
    expect(await isQuiet(3.1)).toBe(true);
  });

  it("[H176] are none of those to which a clock strays, each time another", async () => {
    const before = await lived(0, 1, 2);
    for (let time = 1; time < 40; time++) await lived(2 + 3 * time, 2);
    expect(await lived(2.1)).toBe(before);
    for (let time = 1; time < 40; time++) await lived(2 - 3 * time, 2);
    expect(await lived(2.2)).toBe(before);
    for (let time = 1; time < 40; time++) await lived(1.6, 2);
    expect(await lived(2.3)).toBe(before);
  });

  it("[H176] are one a day of a machine that begins each with an old clock", async () => {
    for (let day = 1; day <= 20; day++) await lived(-50, day, -50, day + 0.1);
    expect(await lived()).toBe(21);
  });

  it("[H176] that an earlier hub counted are not counted once more", async () => {
    kept.set(
      "days-lived",
      JSON.stringify({ count: 7, atMs: noon, jumped: { atMs: noon - 90 * DAY, count: 1 } }),
    );
    expect(await lived(-2, 0, -2, 0)).toBe(7);
    expect(await lived(1)).toBe(8);
  });
});
