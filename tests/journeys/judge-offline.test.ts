import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { expectTheSheets } from "./sheets.ts";
import { BEN, JUDGES } from "./small-test.ts";
import { BLOCKS, ETIQUETTE, marksBlocksAlone, marksCall } from "./the-calls.ts";
import { everybodyIsHere, gathered, linesOf, type People, tapped } from "./together.ts";
import { told } from "./told.ts";

const PHONE = { width: 390, height: 844 };

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

it("lets a judge without the network mark a whole section alone, and lock it", async () => {
  const { caller, judges } = people;
  const [away, ...others] = judges;
  await caller.opensWave(1);
  await away.sees("Rising block", "left side");
  await hall.cutOff(away.page);

  // The floor goes on; the judge who is away steps the script alone.
  let set = 1;
  for (const call of BLOCKS) {
    while (set < call.set) await caller.next(++set);
    if (call.side) await caller.counts();
    await Promise.all(others.map((judge, at) => marksCall(judge, at + 1, call)));
  }
  for (const judge of others) await judge.locks("blocks");
  await marksBlocksAlone(away, 0);
  await away.locks("blocks");
  await away.keepsHere(away.account.lines);
  for (const judge of others) await judge.hasTheHub();
});

it("opens the section to the chief when that judge is back, and not before", async () => {
  const { chief, judges } = people;
  const [away, ...others] = judges;
  const { page } = chief;
  // Two of the three have marked all; how much the third has is told to nobody.
  await chief.looksAt(BEN);
  await page
    .getByRole("listitem")
    .filter({ hasText: /Blocks.*2 of 3 judges have marked all.*to lock: Mara Quist/s })
    .waitFor();
  const held = await hall.exportedWith(linesOf(others));
  expect(Object.keys(told(held))).toEqual(["Tovi Lund", "Pell Odaka"]);
  // The three judges' levels 1, 3 and 4 side by side, worked by hand.
  const opened = page.getByRole("group").filter({ hasText: "Blocks" }).getByText("panel mark 2.67");
  expect(await opened.count()).toBe(0);

  await hall.mend(away.page);
  await away.hasTheHub();
  await opened.waitFor();
  // Sent on return, before the hand does anything more: a later line would only draw the earlier ones after it.
  expect(told(await hall.exportedWith(linesOf(judges)))).toEqual(tapped(judges));
});

it("ends with the same verdicts and sheets, and with every tap on the hub", async () => {
  const { caller, chief, judges } = people;
  await caller.next(6);
  // Whoever stepped on alone follows the floor again, with no tap.
  await Promise.all(judges.map((judge, at) => marksCall(judge, at, ETIQUETTE)));
  for (const judge of judges) await judge.locks("etiquette");
  await chief.decides();
  await expectTheSheets(chief);
  const file = await hall.exportedWith(linesOf(judges));
  expect(told(file)).toEqual(tapped(judges));
  expect(hall.complaints).toEqual([]);
});

it("leaves a phone its board when the hub has shut it out and says so", async () => {
  const { chief, judges } = people;
  const [, { page }] = judges;
  await page.setViewportSize(PHONE);
  await chief.shutsOut(JUDGES[1]);
  const trouble = page.getByRole("alert").filter({ hasText: "The hub closed the line." });
  await trouble.waitFor();
  const { y, height } = (await trouble.boundingBox()) ?? { y: 0, height: PHONE.height };
  expect(y + height).toBeLessThan(PHONE.height / 10);
  await page.getByRole("button", { name: "Read it all" }).click();
  await page.getByText(/Ask at the front table/).waitFor();
  await page.getByRole("button", { name: "Put it away" }).click();
});
