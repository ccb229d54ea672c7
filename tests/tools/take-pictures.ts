import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Page } from "playwright-core";
import { exampleTest } from "../../src/demo/example-test.ts";
import { startHub } from "../../src/hub/main.ts";
import { makeReady } from "../../src/set-up/make-ready.mjs";
import { openBrowser } from "./browser.ts";

// npm run pictures: the README's pictures, taken from the example test as it runs.
const root = fileURLToPath(new URL("../..", import.meta.url));
const folder = join(root, "docs", "pictures");
const dataFolder = mkdtempSync(join(tmpdir(), "evenhand-pictures-"));
mkdirSync(folder, { recursive: true });
if (!(await makeReady())) process.exit(1);

let port = 0;
const hub = await startHub({
  port,
  host: "127.0.0.1",
  dataFolder,
  tabletFolder: join(root, "build", "tablet"),
  // The invented people stand still, so that every run shows the same moment.
  more: exampleTest({ syncUrl: () => `ws://127.0.0.1:${port}/api/sync`, speed: 0.001 }),
});
port = hub.port;
const browser = await openBrowser();
try {
  const context = await browser.newContext({
    viewport: { width: 1180, height: 820 },
    locale: "en-GB",
    reducedMotion: "reduce",
  });
  context.setDefaultTimeout(20_000);
  const page = await context.newPage();
  await page.goto(`http://127.0.0.1:${port}/`);
  await page.getByRole("button", { name: /example test/i }).waitFor();
  await take(page, "home");
  await page.getByRole("button", { name: /example test/i }).click();
  await page.getByRole("heading", { name: /Wave \d, set/ }).waitFor();
  const test = /^.*\/tests\/[^/]+/.exec(page.url())?.[0] ?? "";
  const open = async (path: string, seen: RegExp) => {
    await page.goto(`${test}/${path}`);
    await page.getByText(seen).first().waitFor();
    await page.waitForTimeout(600);
  };

  await open("caller", /Say|Close|Which/);
  await page.getByRole("button", { name: /^Wave 3/ }).click();
  await page.getByRole("button", { name: /^Wave 4/ }).click();
  await page.getByText(/set 1 of/).waitFor();
  for (let step = 0; step < 7; step++)
    await page.getByRole("button", { name: /^Next/ }).last().click();
  for (let count = 0; count < 4; count++)
    await page.getByRole("button", { name: /^Count/ }).click();
  await page.waitForTimeout(400);
  await take(page, "caller");

  for (const theme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme: theme });
    await open("judge", /Rest of line/);
    if (theme === "light") {
      await tap(page, /^19 .*extension/i, "2");
      await tap(page, /^20 .*target/i, "1");
      await tap(page, /^21 .*chamber/i, "4");
      await tap(page, /^20 .*extension/i, "2");
      await page.locator(".rail-faults button").first().click();
    } else await page.getByRole("button", { name: /Rest of line/ }).click();
    await page.waitForTimeout(500);
    await take(page, theme === "dark" ? "judge-dark" : "judge");
  }
  await page.emulateMedia({ colorScheme: "light" });

  await open("desk", /Fit to take part/);
  await take(page, "desk");
  await open("set-up?step=waves", /Waves/);
  await take(page, "set-up");
  await open("chief/candidates/candidate-9", /Mateo/);
  await take(page, "candidate");
  await open("chief", /Open questions/);
  await page.getByRole("button", { name: /^Wave 2/ }).click();
  await page.waitForTimeout(300);
  await take(page, "board");
  await page.getByRole("button", { name: /^Issue \d+ clear verdicts/ }).click();
  await page.getByRole("button", { name: /^Seal/ }).click();
  await page.setViewportSize({ width: 1440, height: 1600 });
  await open("sheets", /Nora|Yuki/);
  await page
    .locator(".sheets-paper .sheet-page")
    .first()
    .screenshot({ path: join(folder, "sheet.png") });
} finally {
  await browser.close();
  await hub.close();
  rmSync(dataFolder, { recursive: true, force: true });
}

async function take(page: Page, name: string): Promise<void> {
  await page.evaluate(() => document.fonts.ready);
  await page.screenshot({ path: join(folder, `${name}.png`) });
}
async function tap(page: Page, cell: RegExp, level: string): Promise<void> {
  await page.getByRole("gridcell", { name: cell }).focus();
  await page.keyboard.press(level);
}
