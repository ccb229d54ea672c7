import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import type { Caller } from "./people/caller.ts";
import type { Judge } from "./people/judge.ts";
import { ANYA, BEN, CORA } from "./small-test.ts";
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

it("loses no mark when the hub is killed in the middle of a wave and comes back", async () => {
  await caller.opensWave(1);
  await caller.counts();
  for (const judge of judges) {
    await judge.sees("Rising block", "left side");
    await judge.marks(ANYA, "target", "Strong");
  }

  // A kill may come before an acknowledgement; then a tablet rightly keeps one more. Here it does not.
  await hall.exportedOnce(3, "mark");

  await hall.killHub();
  // Nobody is told to stop: each goes on where the hand was.
  for (const judge of judges) {
    await judge.marks(BEN, "extension", "Nearly");
    await judge.marks(CORA, "chamber", "Not yet");
    await judge.restMeets();
    await judge.keepsHere(3);
  }

  await hall.startHub();
  for (const judge of judges) await judge.hasTheHub();
  await caller.next(2);
  for (const judge of judges) {
    await judge.sees("Rising block", "right side");
    await judge.restMeets();
  }

  const { entries } = await hall.exportedOnce(15, "mark");
  const marks = entries.filter(({ kind }) => kind === "mark");
  // Each judge: one before, three while it was gone, one after.
  expect(marks).toHaveLength(15);
  expect(new Set(marks.map(({ id }) => id)).size).toBe(15);
  expect(judges.map(({ acts }) => acts)).toEqual([5, 5, 5]);
  expect(hall.complaints).toEqual([]);
});
