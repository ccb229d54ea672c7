import { readFileSync } from "node:fs";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";

let hall: Hall;
let page: Page;
beforeAll(async () => {
  hall = await Hall.open({ isSecure: true });
  page = await hall.tablet("whoever looks at the example");
  await page.goto(hall.address);
  await page.getByRole("button", { name: /example test/ }).click();
  await page.waitForURL(/\/chief/);
  await page.getByRole("main").first().waitFor();
  await page.evaluate(() => navigator.serviceWorker.ready);
  // Taken over by what is kept on the device from here on.
  await page.reload();
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
});
afterAll(() => hall?.close());

/** What is kept of a script is none any more. @returns how many were spoilt. */
const spoil = (which: string): Promise<number> =>
  page.evaluate(async (part) => {
    let spoilt = 0;
    for (const name of await caches.keys()) {
      const cache = await caches.open(name);
      for (const request of await cache.keys()) {
        if (!new URL(request.url).pathname.includes(part)) continue;
        const headers = { "content-type": "text/javascript" };
        await cache.put(request, new Response("const half = {", { headers }));
        spoilt++;
      }
    }
    return spoilt;
  }, which);

it("[T40] says so, lets the marks out and fetches the app anew where its script is broken on the tablet", async () => {
  expect(await spoil("/assets/index-")).toBeGreaterThan(0);
  page = await hall.opensAgain(page);
  await page.goto(hall.address);
  await page.getByRole("heading", { name: "Evenhand did not start" }).waitFor();
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name: /Save the scorebook/ }).click(),
  ]);
  const file = JSON.parse(readFileSync(await download.path(), "utf8"));
  expect(file).toMatchObject({ format: "evenhand-scorebook", version: 1 });
  expect(file.entries.length).toBeGreaterThan(1000);

  await hall.killHub();
  await page.getByRole("button", { name: "Fetch Evenhand anew" }).click();
  await page.getByText("The hub does not answer here.").waitFor();
  await hall.startHub();
  await page.getByRole("button", { name: "Fetch Evenhand anew" }).click();
  await page
    .getByText("Runs a karate")
    .or(page.getByRole("link", { name: /Open/ }))
    .first()
    .waitFor();
});

it("[T40] also where the first script itself is broken, from a page that is kept nowhere", async () => {
  await page.evaluate(() => navigator.serviceWorker.ready);
  await page.reload();
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  expect(await spoil("/assets/index-")).toBeGreaterThan(0);
  expect(await spoil("/start.js")).toBeGreaterThan(0);
  page = await hall.opensAgain(page);
  await page.goto(hall.address);
  await page.getByRole("link", { name: "Fetch Evenhand anew" }).click({ timeout: 20_000 });
  await page.getByRole("link", { name: /Open/ }).first().waitFor();
});
