import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { DeviceId } from "../../src/book/identity.ts";
import type { AHub } from "../builders/a-hub.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { untilInPage } from "../builders/until-in-page.ts";
import { outboxIsEmpty } from "../soak/outbox-is-empty.ts";
import { storedMarks } from "../soak/stored-marks.ts";
import { type GivenFile, savedBy } from "./people/files.ts";
import { openSixByFiveHall, type SixByFiveHall, tabletFolder } from "./six-by-five-hall.ts";

const JUDGES_PAGE = `/tests/${aGradingId}/judge`;

let hall: SixByFiveHall;
let hub: AHub;
let person: string;
let file: GivenFile;

beforeAll(async () => {
  hall = await openSixByFiveHall();
  ({ hub, person } = hall);
});
afterAll(() => hall?.end());

/** The judge's tablet at an address of the hub's, let in there. */
async function aTabletAt(address: string, device: string): Promise<Page> {
  const context = await hall.browser.newContext({ viewport: { width: 1180, height: 820 } });
  const page = await context.newPage();
  await page.goto(address);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  const who = await hub.letsIn(person, ["judge"], device);
  await keepPass(page, {
    ...who,
    person,
    roles: ["judge"],
    name: "Kim",
    cursor: 0,
    lastContactMs: Date.now(),
  });
  await page.goto(`${address}${JUDGES_PAGE}`);
  await page.locator("[data-zone]").first().waitFor();
  return page;
}

it("saves what the hub never had, where the hub is not found any more", async () => {
  const page = await aTabletAt(`http://127.0.0.1:${hub.port}`, "under-the-old-address");
  await untilInPage(page, outboxIsEmpty);
  await hub.stop();
  for (const cell of [0, 6, 12]) {
    await page.getByRole("gridcell").nth(cell).locator("[data-zone]").first().click();
    await page.waitForTimeout(200);
  }
  await page.goto(`http://127.0.0.1:${hub.port}/`);
  await page.getByText("3 lines not on the hub").waitFor();
  await page.getByRole("button", { name: /^Carry over/ }).click();
  await page.getByText("3 lines written here are not on the hub.").waitFor();
  file = await savedBy(page, page.getByRole("button", { name: "Save the scorebook file" }));
  await page.context().close();
});

it("[Y22] takes it in under the new address, and the hub has it, once, when the old place is shut out", async () => {
  await hub.startAgain({ tabletFolder });
  const address = `http://localhost:${hub.port}`;
  const page = await aTabletAt(address, "under-the-new-one");
  await page.goto(address);
  await page.getByRole("button", { name: /^Carry over/ }).click();
  await page.getByLabel("Take in a scorebook file").setInputFiles(file);
  await page.getByText(/^3 lines of .* are here now/).waitFor();
  await page.getByRole("button", { name: "Close" }).click();
  await page.getByRole("link", { name: /^Open/ }).click();
  // While the old place may still send them itself nobody writes into its count.
  await page
    .getByText(/another tablet of yours, which is still let in/)
    .first()
    .waitFor();
  await hub.desk.revoke(aGradingId, "under-the-old-address" as DeviceId);
  await untilInPage(page, outboxIsEmpty, { timeout: 20_000 });
  // The judge sees them where they were marked.
  await page.goto(`${address}${JUDGES_PAGE}`);
  await page.getByText("27 blank").waitFor();
  await page.context().close();
  await hub.stop();
  const stored = await storedMarks(hub.folder);
  expect([stored.length, new Set(stored).size]).toEqual([3, 3]);
});
