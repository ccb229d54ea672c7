import { expect, it } from "vitest";
import type { DeviceId, GradingId } from "../../../src/book/identity.ts";
import { GoneSoFar } from "../../../src/hub/forgetting/gone-so-far.ts";

const grading = "g" as GradingId;
const noted = { grading, at: "2026-06-06T10:00:00.000Z" };

it("[L114] who is gone is another word after every erasing, whenever it was, and none before the first", () => {
  const people: string[] = [];
  const devices: DeviceId[] = [];
  const log = {
    all: () => people.map((about) => ({ ...noted, about })),
    devices: () => devices.map((device) => ({ ...noted, device })),
  };
  const gone = new GoneSoFar(log);
  const words = [gone.word];
  const next = () => words.push(gone.word);
  people.push("c1");
  next();
  people.push("c2");
  next();
  devices.push("spare-tablet" as DeviceId);
  next();
  expect(words[0]).toBe("");
  expect(new Set(words).size).toBe(4);
  for (const word of words.slice(1)) expect(word).toMatch(/^[0-9a-f]{8}$/);
  // Another hub noted the same in another order, and a name at the door is nobody's who is called so.
  expect(new GoneSoFar({ ...log, all: () => log.all().reverse() }).word).toBe(gone.word);
  people.push("spare-tablet");
  expect(new GoneSoFar({ ...log, devices: () => [] }).word).not.toBe(gone.word);
});

it("[L114] whoever is noted and in the store still is not gone", () => {
  const people = ["c1", "c2"];
  const log = { all: () => people.map((about) => ({ ...noted, about })), devices: () => [] };
  const gone = new GoneSoFar(log, [{ grading, about: "c2" }]);
  const without = gone.word;
  expect(without).toBe(new GoneSoFar({ ...log, all: () => log.all().slice(0, 1) }).word);
  expect(gone.went({ grading, about: "c2" })).toBe(true);
  expect(gone.word).not.toBe(without);
  expect(gone.went({ grading, about: "c2" })).toBe(false);
  people.push("c3");
  gone.waits({ grading, about: "c3" });
  expect(gone.word).toBe(new GoneSoFar({ ...log, all: () => log.all().slice(0, 2) }).word);
});
