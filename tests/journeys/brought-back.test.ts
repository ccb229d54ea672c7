import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { backUp } from "../../src/hub/store/backup.ts";
import { storeFile } from "../../src/hub/store/store-file.ts";
import { AHub } from "../builders/a-hub.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { openBrowser } from "../tools/browser.ts";
import { aFile } from "./people/files.ts";

const evenhand = fileURLToPath(new URL("../../src/command-line/evenhand.mjs", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "evenhand-new-machine-"));
const { plan } = aTestDay();
let browser: Browser;
let hub: ChildProcess;
let copy: Buffer;
/** What the hub prints each time it begins. */
const said: { port: number; key: string }[] = [];

beforeAll(async () => {
  const old = await AHub.start();
  const chief = await old.tablet("chief", ["chief"]);
  chief.append(...plan);
  await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
  backUp(storeFile(old.folder), join(folder, "copy.sqlite"));
  copy = readFileSync(join(folder, "copy.sqlite"));
  await old.end();
  const options = ["--host", "127.0.0.1", "--port", "0", "--data", join(folder, "data"), "--json"];
  hub = spawn(process.execPath, [evenhand, "serve", ...options], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  if (hub.stdout) createInterface(hub.stdout).on("line", (line) => said.push(JSON.parse(line)));
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  hub?.kill("SIGKILL");
  rmSync(folder, { recursive: true, force: true });
});

it("[H55] begins from a copy of the old hub, in the chief's browser, and lets the chief in with the new key", async () => {
  await expect.poll(() => said.length, { timeout: 30_000 }).toBe(1);
  const [first] = said as [(typeof said)[0]];
  const page = await browser.newPage({ viewport: { width: 1180, height: 820 } });
  await page.goto(`http://127.0.0.1:${first.port}/#key=${first.key}`);
  await page.getByRole("button", { name: /^Bring back a copy/ }).click();
  const input = page.getByLabel("Choose the copy");
  // First something else: it is refused in words, and nothing is lost by it.
  await input.setInputFiles(aFile("notes.sqlite", "no database"));
  await page.getByText("This file is no sound copy of a hub").waitFor();
  await input.setInputFiles({
    name: "copy.sqlite",
    mimeType: "application/vnd.sqlite3",
    buffer: copy,
  });
  await page.getByText(`The copy is sound: 1 test, ${plan.length} lines.`).waitFor();
  await expect.poll(() => said.length, { timeout: 30_000 }).toBe(2);
  const [, again] = said as [(typeof said)[0], (typeof said)[0]];
  expect(again.port).toBe(first.port);
  await page.getByLabel("The chief’s key").fill(again.key);
  await page.getByRole("button", { name: "Show my belt tests" }).click();
  await page.getByRole("region", { name: "On the hub" }).getByText("Summer belt test").waitFor();
  const health = await (await fetch(`http://127.0.0.1:${again.port}/health`)).json();
  expect(health).toMatchObject({ gradings: 1, entries: 0 });
});
