import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import type { Caller } from "./people/caller.ts";
import type { Judge } from "./people/judge.ts";
import { ANYA, BEN } from "./small-test.ts";
import { gathered } from "./together.ts";

let hall: Hall;
let caller: Caller;
let judges: Judge[];

beforeAll(async () => {
  hall = await Hall.open();
  ({ caller, judges } = await gathered(hall));
});
afterAll(async () => {
  await hall?.close();
});

it("loses no mark of a judge who is without the network for a section", async () => {
  const [away, ...others] = judges as [Judge, ...Judge[]];
  await caller.opensWave(1);
  await away.sees("Rising block", "left side");
  await hall.cutOff(away.page);

  // The floor goes on; the judge who is away steps the script alone.
  for (const [set, title, side] of [
    [1, "Rising block", "left side"],
    [2, "Rising block", "right side"],
  ] as const) {
    if (set > 1) {
      await caller.next(set);
      await away.stepsOn();
    }
    await caller.counts();
    for (const judge of judges) {
      await judge.sees(title, side);
      await judge.marks(ANYA, "target", "Strong");
      await judge.restMeets();
    }
  }
  await away.keepsHere(4);
  for (const judge of others) await judge.hasTheHub();

  await hall.mend(away.page);
  await away.hasTheHub();
  // Sent on return, before the hand does anything more: a later line would only draw the earlier ones after it.
  const back = (await hall.exportedOnce(12, "mark")).entries;
  expect(back.filter(({ kind }) => kind === "mark")).toHaveLength(12);
  await caller.next(3);
  await caller.next(4);
  // Whoever stepped on alone is not dragged along: one tap leads back to the floor.
  await away.goesBackToNow();
  for (const judge of judges) {
    await judge.sees("Low block", "right side");
    await judge.marks(BEN, "chamber", "Nearly");
    await judge.restMeets();
  }

  const { entries } = await hall.exportedOnce(18, "mark");
  const marks = entries.filter(({ kind }) => kind === "mark");
  // Each judge six: an exception and a rest for each of three sets.
  expect(marks).toHaveLength(18);
  expect(new Set(marks.map(({ id }) => id)).size).toBe(18);
  expect(judges.map(({ acts }) => acts)).toEqual([6, 6, 6]);
  expect(hall.complaints).toEqual([]);
});
