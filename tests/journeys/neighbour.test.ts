import { fileURLToPath } from "node:url";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { AHub } from "../builders/a-hub.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { APostgres } from "../builders/a-postgres.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { sixByFive } from "../builders/six-by-five.ts";
import { openBrowser } from "../tools/browser.ts";

const tabletFolder = fileURLToPath(new URL("../../build/tablet", import.meta.url));
let server: APostgres;
let hubs: AHub[] = [];
let browser: Browser;
beforeAll(async () => {
  server = await APostgres.start();
  const store = await server.database("hall");
  hubs = [await AHub.start({ store, tabletFolder }), await AHub.start({ store, tabletFolder })];
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  for (const hub of hubs) await hub.end();
  await server?.stop();
});

it("[Y19] a judge marks on at the neighbour when the hub is gone, without a reload and without a loss", async () => {
  const [own, neighbour] = hubs as [AHub, AHub];
  const { plan, judges } = sixByFive();
  const person = judges[0]?.person ?? "";
  const chief = await neighbour.tablet("chief", ["chief"]);
  for (let start = 0; start < plan.length; start += 100)
    chief.append(...plan.slice(start, start + 100));
  await chief.until(() => chief.acknowledged.length === plan.length, "the plan");

  const page = await (
    await browser.newContext({ viewport: { width: 1180, height: 820 } })
  ).newPage();
  await page.goto(own.address);
  const who = await own.letsIn(person, ["judge"]);
  await keepPass(page, {
    ...who,
    person,
    roles: ["judge"],
    name: "J",
    cursor: 0,
    lastContactMs: Date.now(),
  });
  await page.goto(`${own.address}/tests/${aGradingId}/judge`);
  const zones = page.locator("[data-zone]");
  await zones.first().waitFor();
  // Only the judge's own other tablet is sent what is closed to everybody else.
  const spare = await neighbour.tablet(person, ["judge"], { device: "spare" });
  const marked = () =>
    spare.entries.filter(({ kind, by }) => kind === "mark" && by === person).length;
  await zones.nth(0).click();
  await spare.until(() => marked() === 1, "the first mark");

  await own.stop();
  // Before the tablet has noticed anything, and after.
  await zones.nth(2).click();
  await page.waitForTimeout(300);
  await zones.nth(4).click();
  await spare.until(() => marked() === 3, "the marks at the neighbour", 15_000);
  expect(new URL(page.url()).origin).toBe(own.address);
});
