import { createHash, createPublicKey } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { openBrowser } from "../tools/browser.ts";

/** Chromium takes every 127.x for secure; what a tablet in the hall sees is seen only under another name. */
const NAME = "hall.local";
const MAPPED = `--host-resolver-rules=MAP ${NAME} 127.0.0.1`;
/** No belt test has it: it only has to arrive. */
const CODE = "KX7P2M";

let folder = "";
let hub: AHubProcess;
let said: { port: number; secure: { port: number; name: string; fingerprint: string } };
const browsers: Browser[] = [];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-trust-"));
  const ports = ["--host", "127.0.0.1", "--port", "0", "--secure-port", "0", "--name", NAME];
  const command = ["src/command-line/evenhand.mjs", "serve", "--json", "--data", folder];
  hub = await AHubProcess.run([...command, ...ports]);
  said = JSON.parse(hub.said);
});
afterAll(async () => {
  for (const browser of browsers) await browser.close();
  await hub?.kill();
  rmSync(folder, { recursive: true, force: true });
});

const plain = (path: string) => `http://${NAME}:${said.port}${path}`;
async function tablet(flags: readonly string[] = []): Promise<Page> {
  const browser = await openBrowser([MAPPED, ...flags]);
  browsers.push(browser);
  return (await browser.newContext({ hasTouch: true })).newPage();
}

it("tells a tablet that does not trust the hub what to do and what to compare, in a bright and a dark hall", async () => {
  const page = await tablet();
  const outside: string[] = [];
  page.on("request", (request) => {
    if (new URL(request.url()).hostname !== NAME) outside.push(request.url());
  });
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    await page.goto(plain(`/trust#${CODE}`));
    await page.getByRole("heading", { name: "What to do" }).waitFor();
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([]);
  }
  expect(await page.evaluate(() => window.isSecureContext)).toBe(false);
  const figures = (await page.locator(".fingerprint span").allTextContents()).join(" ");
  expect(figures.split(" ").join(":")).toBe(said.secure.fingerprint);
  await page.getByText(`SHA-256 of “${said.secure.name}”`).waitFor();

  const download = page.waitForEvent("download");
  await page.getByRole("link", { name: "Get the certificate" }).click();
  const der = readFileSync(await (await download).path());
  const digest = createHash("sha256").update(der).digest("hex").toUpperCase();
  expect(digest).toBe(said.secure.fingerprint.replaceAll(":", ""));

  await page.getByText("Go on without installing").click();
  await page.getByRole("link", { name: "Go on without" }).click();
  await page.waitForURL(plain(`/join#${CODE}`));
  expect(await page.getByLabel("Code").inputValue()).toBe(CODE);
  expect(outside).toEqual([]);
});

it("leads a tablet that trusts the hub on to the secure address, with the code", async () => {
  const certificate = readFileSync(join(folder, "tls", "server.crt"));
  const key = createPublicKey(certificate).export({ type: "spki", format: "der" });
  const digest = createHash("sha256").update(key).digest("base64");
  const page = await tablet([`--ignore-certificate-errors-spki-list=${digest}`]);
  await page.goto(plain(`/trust#${CODE}`));
  await page.waitForURL(`https://${NAME}:${said.secure.port}/join#${CODE}`);
  expect(await page.getByLabel("Code").inputValue()).toBe(CODE);
  expect(await page.evaluate(() => window.isSecureContext)).toBe(true);
});
