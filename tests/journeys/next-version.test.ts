import { appendFileSync, cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { openBrowser } from "../tools/browser.ts";

const built = fileURLToPath(new URL("../../build/tablet", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "evenhand-next-"));
const tabletFolder = join(folder, "tablet");
let hub: RunningHub;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  cpSync(built, tabletFolder, { recursive: true });
  const dataFolder = join(folder, "data");
  hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder, tabletFolder });
  browser = await openBrowser();
  page = await browser.newPage();
  await page.goto(`http://127.0.0.1:${hub.port}/`);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
});
afterAll(async () => {
  await browser?.close();
  await hub?.close();
  rmSync(folder, { recursive: true, force: true });
});

const notice = () => page.getByText("A new version is here");
/** A page that was loaded anew has forgotten what was scratched into it. */
const isAsItWas = () => page.evaluate(() => document.documentElement.dataset.scratched === "yes");

it("lies ready and says so, and reloads nothing by itself", async () => {
  await page.evaluate(() => {
    document.documentElement.dataset.scratched = "yes";
  });
  expect(await notice().count()).toBe(0);
  // The least that another build differs by.
  appendFileSync(join(tabletFolder, "sw.js"), "\n// The next version.\n");
  await page.evaluate(async () => (await navigator.serviceWorker.ready).update());
  await notice().waitFor();
  const isWaiting = () =>
    page.evaluate(async () => (await navigator.serviceWorker.ready).waiting !== null);
  expect(await isWaiting()).toBe(true);
  // As long as a judge looks up: it still waits.
  await page.waitForTimeout(1_500);
  expect([await isWaiting(), await isAsItWas()]).toEqual([true, true]);
});

it("starts when a hand says so", async () => {
  await page.getByRole("button", { name: "Start it now" }).click();
  await page.waitForFunction(() => document.documentElement.dataset.scratched === undefined);
  await page.getByRole("heading", { name: "Evenhand" }).waitFor();
  await expect
    .poll(() => page.evaluate(async () => (await navigator.serviceWorker.ready).waiting))
    .toBe(null);
  expect(await notice().count()).toBe(0);
});
