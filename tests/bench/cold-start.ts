import type { Browser, BrowserContext } from "playwright-core";
import { aGradingId } from "../builders/a-pen.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { type Measured, median } from "./measure.ts";

const ROUNDS = 9;
const THROTTLE = 4;

/** Keeps every file of the bare page, and answers from there: as much as the app's own worker does, and no more. */
export const bareWorker = (files: readonly string[]): string => `
addEventListener("install", (event) => event.waitUntil(caches.open("bare").then((cache) => cache.addAll(${JSON.stringify(files)}))));
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("fetch", (event) => event.respondWith(caches.match(event.request, { ignoreSearch: true }).then((kept) => kept ?? fetch(event.request))));
`;

/** Opening the judge's screen with the network off, from the address to the first board, beside the bare page from its worker. */
export async function benchColdStart(
  browser: Browser,
  hub: string,
  bare: string,
  pass: object,
): Promise<Measured> {
  const ours = await installed(browser, hub, "", async (page) => {
    await keepPass(page, pass);
    await page.goto(`${hub}/tests/${aGradingId}/judge`);
    await page.locator("[data-zone]").first().waitFor();
    await page.waitForTimeout(2_000);
  });
  const floor = await installed(browser, bare, "/sw.js", async () => undefined);
  const [own, other]: [number[], number[]] = [[], []];
  for (let round = 0; round < ROUNDS; round++) {
    own.push(await openedIn(ours, `${hub}/tests/${aGradingId}/judge`, "[data-zone]"));
    other.push(await openedIn(floor, bare, "[data-target]"));
  }
  await ours.close();
  await floor.close();
  return {
    what: "offline cold start of the judge's screen against a bare page",
    value: median(own) / median(other),
    unit: "×",
    goal: 1.4,
    how: `${median(own).toFixed(0)} against ${median(other).toFixed(0)} ms; ${ROUNDS} starts each, interleaved, processor throttled ${THROTTLE}×`,
  };
}

/** A tablet that has a page's worker, and no network any more. @param worker  to register by hand, where the page does not. */
async function installed(
  browser: Browser,
  address: string,
  worker: string,
  prepare: (page: Awaited<ReturnType<BrowserContext["newPage"]>>) => Promise<void>,
): Promise<BrowserContext> {
  const context = await browser.newContext({ viewport: { width: 1180, height: 820 } });
  const page = await context.newPage();
  await page.goto(address);
  await page.evaluate(async (file) => {
    if (file) await navigator.serviceWorker.register(file);
    await navigator.serviceWorker.ready;
  }, worker);
  await prepare(page);
  await page.close();
  await context.setOffline(true);
  return context;
}

/** Milliseconds from the start of the navigation to the frame after the first target is there. */
async function openedIn(
  context: BrowserContext,
  address: string,
  selector: string,
): Promise<number> {
  const page = await context.newPage();
  await page.addInitScript((target) => {
    const watch = new MutationObserver(() => {
      if (!document.querySelector(target)) return;
      watch.disconnect();
      requestAnimationFrame(() => {
        (window as { seenAtMs?: number }).seenAtMs = performance.now();
      });
    });
    watch.observe(document, { childList: true, subtree: true });
  }, selector);
  const session = await context.newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: THROTTLE });
  await page.goto(address);
  await page.waitForFunction(() => (window as { seenAtMs?: number }).seenAtMs !== undefined);
  const seen = await page.evaluate(() => (window as { seenAtMs?: number }).seenAtMs ?? 0);
  await page.close();
  return seen;
}
