import { expect, it } from "vitest";
import type { GradingId } from "../../../src/book/identity.ts";
import { lastErasing } from "../../../src/hub/forgetting/last-erasing.ts";

it("[L104] counts an erasing that a clock ahead noted as noted when it is first met", async () => {
  const kept = new Map<string, string>();
  const door = {
    setting: (name: string) => kept.get(name),
    keepSetting: (name: string, value: string) => void kept.set(name, value),
  };
  const now = Date.UTC(2026, 5, 6);
  const log = (...days: number[]) => ({
    all: () =>
      days.map((day) => ({
        grading: "g" as GradingId,
        about: `c${day}`,
        at: new Date(now + day * 86_400_000).toISOString(),
      })),
  });
  expect(await lastErasing(log(), door, now)).toBe(0);
  expect(await lastErasing(log(-3, -1), door, now)).toBe(now - 86_400_000);
  expect(await lastErasing(log(-3, 400), door, now)).toBe(now);
  // The next start says the same, so that copies made meanwhile stay.
  expect(await lastErasing(log(-3, 400), door, now + 5_000)).toBe(now);
  expect(await lastErasing(log(-3, 400, 500), door, now + 9_000)).toBe(now + 9_000);
});
