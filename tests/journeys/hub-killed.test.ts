import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { expectTheSheets } from "./sheets.ts";
import { BLOCKS, type Call, ETIQUETTE, marksCall } from "./the-calls.ts";
import { everybodyIsHere, gathered, linesOf, type People, tapped } from "./together.ts";
import { told } from "./told.ts";

let hall: Hall;
let people: People;

beforeAll(async () => {
  hall = await Hall.open();
  people = await gathered(hall);
  await everybodyIsHere(people.desk);
});
afterAll(async () => {
  await hall?.close();
});

it("loses no mark when the hub is killed in the middle of a wave and comes back", async () => {
  const { caller, judges } = people;
  const [call] = BLOCKS as [Call];
  await caller.opensWave(1);
  await caller.counts();
  for (const [at, judge] of judges.entries()) {
    await judge.sees(call.title, call.side);
    await call.exceptions[at]?.[0]?.(judge);
  }

  // A kill may come before an acknowledgement; then a tablet rightly keeps one more. Here it does not.
  const before = judges.map(({ account }) => account.lines);
  await hall.exportedWith(linesOf(judges));
  await hall.killHub();
  // Nobody is told to stop: each goes on where the hand was.
  for (const [at, judge] of judges.entries()) {
    for (const act of call.exceptions[at]?.slice(1) ?? []) await act(judge);
    await judge.restMeets();
    await judge.keepsHere(judge.account.lines - (before[at] ?? 0));
  }

  await hall.startHub();
  for (const judge of judges) await judge.hasTheHub();
  // Sent on return, before a hand does anything more: a later line would only draw the earlier ones after it.
  expect(told(await hall.exportedWith(linesOf(judges)))).toEqual(tapped(judges));
});

it("goes on to the last lock as if nothing had been", async () => {
  const { caller, judges } = people;
  let set = 1;
  for (const call of [...BLOCKS.slice(1), ETIQUETTE]) {
    while (set < call.set) await caller.next(++set);
    if (call.side) await caller.counts();
    await Promise.all(judges.map((judge, at) => marksCall(judge, at, call)));
  }
  for (const judge of judges) {
    await judge.locks("blocks");
    await judge.locks("etiquette");
  }
});

it("ends with the same verdicts and sheets, and with every tap on the hub", async () => {
  await people.chief.decides();
  await expectTheSheets(people.chief);
  const file = await hall.exportedWith(linesOf(people.judges));
  expect(told(file)).toEqual(tapped(people.judges));
  expect(hall.complaints).toEqual([]);
});
