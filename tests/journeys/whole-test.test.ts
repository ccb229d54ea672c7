import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { expectTheSheets } from "./sheets.ts";
import { CORA } from "./small-test.ts";
import { BLOCKS, ETIQUETTE, marksCall } from "./the-calls.ts";
import { everybodyIsHere, gathered, linesOf, type People, tapped } from "./together.ts";
import { told } from "./told.ts";

let hall: Hall;
let people: People;

beforeAll(async () => {
  hall = await Hall.open();
});
afterAll(async () => {
  await hall?.close();
});

it("is planned, opened and joined by everybody", async () => {
  people = await gathered(hall);
});

it("checks in at the desk", async () => {
  await everybodyIsHere(people.desk);
});

it("is called, counted and marked by exception", async () => {
  const { caller, judges } = people;
  await caller.opensWave(1);
  let set = 1;
  for (const call of [...BLOCKS, ETIQUETTE]) {
    while (set < call.set) await caller.next(++set);
    if (call.side) await caller.counts();
    await Promise.all(judges.map((judge, at) => marksCall(judge, at, call)));
  }
});

it("shows the chief how much is marked, and no level before the last lock", async () => {
  const { chief, judges } = people;
  const { page } = chief;
  const last = judges[2];
  for (const judge of judges.slice(0, -1)) {
    await judge.locks("blocks");
    await judge.locks("etiquette");
  }
  await last.locks("blocks");
  await chief.goes("Board");
  await page.getByText("all marked, waits for 1 lock").first().waitFor();
  // Blocks are open to the chief now, etiquette is not.
  await chief.looksAt(CORA);
  await page.getByRole("heading", { name: "Not open yet" }).waitFor();
  expect(await page.getByText("Not done").count()).toBe(0);
  await last.locks("etiquette");
  await page.getByRole("heading", { name: /^(Pass|Retest)/ }).waitFor();
});

it("lets the chief settle, issue and release", async () => {
  await people.chief.decides();
});

it("prints one page a child, without a figure but the number and the dates", async () => {
  await expectTheSheets(people.chief);
});

it("has kept every tap on the hub and nothing that nobody tapped, without leaving the hall", async () => {
  const file = await hall.exportedWith(linesOf(people.judges));
  expect(told(file)).toEqual(tapped(people.judges));
  const kinds = (kind: string) => file.entries.filter((entry) => entry.kind === kind).length;
  expect(kinds("checked-in")).toBe(3);
  expect(kinds("called")).toBe(6);
  expect(kinds("verdict")).toBe(3);
  expect(kinds("sheet-released")).toBe(3);
  expect(hall.complaints).toEqual([]);
});

it("[H33] lets its pages speak to their own hub, and to nobody else", async () => {
  const said = await people.chief.page.evaluate(
    (elsewhere) =>
      new Promise<string>((tell) => {
        document.addEventListener("securitypolicyviolation", (event) =>
          tell(`${event.effectiveDirective} ${event.blockedURI}`),
        );
        setTimeout(() => tell("let out"), 5000);
        new WebSocket(elsewhere);
      }),
    "ws://127.0.0.2:9",
  );
  expect(said).toMatch(/^connect-src ws:\/\/127\.0\.0\.2:9/);
});
