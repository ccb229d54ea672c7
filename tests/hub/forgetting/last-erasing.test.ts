import { expect, it } from "vitest";
import type { DeviceId, GradingId } from "../../../src/book/identity.ts";
import { lastErasing } from "../../../src/hub/forgetting/last-erasing.ts";
import type { ErasedLog } from "../../../src/hub/store/erased-log.ts";

it("[L104] counts an erasing that a clock ahead noted as noted when it is first met", async () => {
  const kept = new Map<string, string>();
  const door = {
    setting: (name: string) => kept.get(name),
    keepSetting: (name: string, value: string) => void kept.set(name, value),
  };
  const now = Date.UTC(2026, 5, 6);
  const noted = (day: number) => ({
    grading: "g" as GradingId,
    at: new Date(now + day * 86_400_000).toISOString(),
  });
  const log = (...days: number[]) => ({
    all: () => days.map((day) => ({ ...noted(day), about: `c${day}` })),
    devices: () => [] as ReturnType<ErasedLog["devices"]>,
  });
  expect(await lastErasing(log(), door, now)).toBe(0);
  expect(await lastErasing(log(-3, -1), door, now)).toBe(now - 86_400_000);
  expect(await lastErasing(log(-3, 400), door, now)).toBe(now);
  // The next start says the same, so that copies made meanwhile stay.
  expect(await lastErasing(log(-3, 400), door, now + 5_000)).toBe(now);
  expect(await lastErasing(log(-3, 400, 500), door, now + 9_000)).toBe(now + 9_000);
  // What was erased by a right clock since counts as it was.
  expect(await lastErasing(log(-3, 400, 1), door, now + 2 * 86_400_000)).toBe(now + 86_400_000);
  // So does a name at the door.
  const device = { ...noted(-1), device: "spare-tablet" as DeviceId };
  expect(await lastErasing({ ...log(-3), devices: () => [device] }, door, now)).toBe(
    now - 86_400_000,
  );
});
