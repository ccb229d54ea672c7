import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { Judge } from "./people/judge.ts";
import { BLOCKS, type Call, marksBlocksAlone } from "./the-calls.ts";
import { everybodyIsHere, gathered, linesOf, type People, tapped } from "./together.ts";
import { told } from "./told.ts";

let hall: Hall;
let people: People;
/** The judge whose tablet is put to the test, once before and once after. */
let cold: Judge;

beforeAll(async () => {
  hall = await Hall.open({ isSecure: true });
  people = await gathered(hall);
  await everybodyIsHere(people.desk);
});
afterAll(async () => {
  await hall?.close();
});

it("keeps the app on a tablet that came over TLS", async () => {
  const [{ page }] = people.judges;
  expect(new URL(page.url()).protocol).toBe("https:");
  const state = await page.evaluate(async () => ({
    isSecure: window.isSecureContext,
    worker: (await navigator.serviceWorker.ready).active?.scriptURL,
  }));
  expect(state).toEqual({ isSecure: true, worker: `${hall.address}/sw.js` });
});

it("starts cold without the hub, shows the judge's own marks, and marks on", async () => {
  const [judge] = people.judges;
  const [call] = BLOCKS as [Call];
  await people.caller.opensWave(1);
  await judge.sees(call.title, call.side);
  const [first, ...others] = call.exceptions[0];
  await first?.(judge);
  await hall.exportedWith(linesOf([judge]));
  await hall.killHub();
  for (const act of others) await act(judge);
  const unsent = judge.account.lines - 1;
  await judge.keepsHere(unsent);

  const page = await hall.opensAgain(judge.page);
  await page.goto(`${hall.address}/`);
  await page.getByText("No hub is connected.").waitFor();
  await page.getByRole("link", { name: /Open/ }).first().click();
  cold = new Judge(page, judge.account);
  await cold.sees(call.title, call.side);
  await cold.keepsHere(unsent);
  for (const [place, state] of Object.entries(judge.account.standing)) {
    const [who = "", , , row = ""] = place.split(", ");
    if (row !== "faults" && place.split(", ").length === 4)
      await cold.stands(who, row, state.toLowerCase());
  }
  await cold.restMeets();
  await marksBlocksAlone(cold, 0, 1);
  await cold.locks("blocks");
});

it("hands in everything when the hub is back, and has asked for nothing outside the hall", async () => {
  await hall.startHub();
  await cold.hasTheHub();
  const file = await hall.exportedWith(linesOf([cold]));
  expect(told(file)).toEqual(tapped([cold]));
  expect(hall.complaints).toEqual([]);
});
