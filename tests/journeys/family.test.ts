import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { heldOf } from "../../src/belt-test/scorebook/what-was-held.ts";
import type { DeviceId } from "../../src/book/identity.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { AHub } from "../builders/a-hub.ts";
import { aMarkedDay } from "../builders/a-marked-day.ts";
import { aGradingId, anEntryId } from "../builders/a-pen.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { openBrowser } from "../tools/browser.ts";

const candidate = "candidate-1" as CandidateId;
const chance = { makeId: anEntryId, random: (bytes: number) => new Uint8Array(bytes).fill(7) };
/** What no page may say or ask for. */
const complaints: string[] = [];
let hub: AHub;
let browser: Browser;

/** A test day that is over: everybody marked, one verdict, its sheet released. The name is invented. */
beforeAll(async () => {
  hub = await AHub.start({ tabletFolder: new URL("../../build/tablet", import.meta.url).pathname });
  browser = await openBrowser();
  const { day, entries } = aMarkedDay();
  const body = { given: "Ada", family: "Invented" };
  const details = makeSideRecord(
    { grading: aGradingId, about: candidate, kind: "candidate", body },
    chance,
  );
  const { id: rubric } = day.rubric;
  day.chief.hear(entries.length);
  const after = [
    day.chief.write("entered", { candidate, number: 1, rubric, details: details.ref }),
    day.chief.write("verdict", {
      candidate,
      result: "pass",
      retestSections: [],
      computed: "pass",
      basis: heldOf(fold(entries), candidate),
    }),
    day.chief.write("sheet-released", { candidate }),
  ];
  const people = new Set(entries.map(({ by }) => by));
  // What was decided comes last.
  const handed = [...people].map((person) => entries.filter(({ by }) => by === person));
  for (const theirs of [...handed, after]) {
    const person = theirs[0]?.by ?? "";
    const role = person.startsWith("judge") ? "judge" : person === "caller" ? "caller" : "chief";
    const tablet = await hub.tablet(person, [role]);
    for (let start = 0; start < theirs.length; start += 100)
      tablet.say({
        frame: "append",
        entries: theirs.slice(start, start + 100),
        sides: [details.record],
      });
    await tablet.until(() => tablet.acknowledged.length === theirs.length, person, 10_000);
    tablet.drop();
  }
});
afterAll(async () => {
  await browser?.close();
  await hub?.end();
});

async function device(whose: string, width: number, height: number): Promise<BrowserContext> {
  const context = await browser.newContext({ viewport: { width, height }, locale: "en-GB" });
  context.setDefaultTimeout(15_000);
  context.on("console", (message) => {
    if (message.type() === "error") complaints.push(`${whose}: ${message.text()}`);
  });
  context.on("weberror", (error) => complaints.push(`${whose}: ${error.error().message}`));
  context.on("request", (request) => {
    const { protocol, host } = new URL(request.url());
    if (!/^(data|blob):$/.test(protocol) && host !== `localhost:${hub.port}`)
      complaints.push(`${whose}: asked outside the hall: ${request.url()}`);
  });
  return context;
}

/** Where EVENHAND_PICTURES names a folder, what the page looks like is kept there. */
async function picture(page: Page, name: string): Promise<void> {
  const folder = process.env.EVENHAND_PICTURES;
  if (folder) await page.screenshot({ path: `${folder}/${name}.png`, fullPage: true });
}

describe("a sheet by a link", () => {
  it("[H32] is made by the chief, read on a phone that keeps nothing, and taken back", async () => {
    const office = `http://localhost:${hub.port}`;
    const chief = await (await device("chief", 1180, 820)).newPage();
    await chief.goto(office);
    const pass = await hub.letsIn("chief", ["chief"], "chief-office" as DeviceId);
    await keepPass(chief, {
      ...pass,
      person: "chief",
      roles: ["chief"],
      name: "Chief",
      cursor: 0,
      lastContactMs: Date.now(),
    });
    await chief.goto(`${office}/tests/${aGradingId}/sheets`);
    await chief.getByRole("button", { name: "Link for the family" }).click();
    await picture(chief, "family-dialog");
    await chief.getByRole("button", { name: "Make a link" }).click();
    const link = await chief.getByLabel("The link", { exact: true }).inputValue();
    expect(link).toMatch(/^http:\/\/localhost:\d+\/sheet#[\w-]{43}$/);
    await chief.getByRole("img", { name: "QR code of the link" }).waitFor();
    await picture(chief, "family-link");
    await chief.setViewportSize({ width: 390, height: 844 });
    await picture(chief, "family-link-phone");

    const phone = await device("guardian", 390, 844);
    const page = await phone.newPage();
    await page.goto(link);
    await page.getByRole("heading", { name: "1 Ada Invented" }).waitFor();
    await picture(page, "family-phone");
    const words = await page.locator(".family-paper").textContent();
    expect(words).toContain("You passed.");
    expect(words).toContain("Summer belt test");
    for (const colorScheme of ["light", "dark"] as const) {
      await page.emulateMedia({ colorScheme });
      const { violations } = await new AxeBuilder({ page }).analyze();
      expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([]);
    }
    await picture(page, "family-phone-dark");
    // No wider than the phone.
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(
      390,
    );
    const kept = await page.evaluate(async () => [
      ...(await indexedDB.databases()).map(({ name }) => name),
      ...Object.keys(localStorage),
      ...(await navigator.serviceWorker.getRegistrations()).map(({ scope }) => scope),
    ]);
    expect(kept).toEqual([]);
    const pdf = (await page.pdf({ format: "A4" })).toString("latin1");
    expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(1);
    await page.setViewportSize({ width: 1180, height: 820 });
    await picture(page, "family-wide");
    expect(complaints).toEqual([]);

    await chief.getByRole("button", { name: "Take back" }).click();
    await chief.getByText("Taken back. It opens nothing any more.").waitFor();
    await page.reload();
    await page.getByRole("heading", { name: "There is no sheet here" }).waitFor();
    await page.setViewportSize({ width: 390, height: 844 });
    await picture(page, "family-gone");
  });
});
