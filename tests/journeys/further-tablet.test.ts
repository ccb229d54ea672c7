import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { DeviceId } from "../../src/book/identity.ts";
import type { AHub } from "../builders/a-hub.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { pictured } from "./pictures.ts";
import { openSixByFiveHall, type SixByFiveHall } from "./six-by-five-hall.ts";

let hall: SixByFiveHall;
let hub: AHub;
let person: string;

beforeAll(async () => {
  hall = await openSixByFiveHall();
  ({ hub, person } = hall);
});
afterAll(() => hall?.end());

async function aTablet(
  who: string,
  roles: readonly [Role, ...Role[]],
  path: string,
): Promise<Page> {
  const context = await hall.browser.newContext({ viewport: { width: 390, height: 844 } });
  const page = await context.newPage();
  await page.goto(hub.address);
  const pass = { ...(await hub.letsIn(who, roles)), person: who, roles, name: who, cursor: 0 };
  await keepPass(page, { ...pass, roles: [...roles], lastContactMs: Date.now() });
  await page.goto(`${hub.address}/tests/${aGradingId}/${path}`);
  return page;
}
/** A device at the door that says to be somebody's. */
async function knock(device: string): Promise<void> {
  const code = await hub.desk.code(aGradingId);
  const name = "Kim’s phone";
  await hub.desk.join({
    code,
    device: device as DeviceId,
    name,
    wants: "judge",
    address: "10.0.0.9",
  });
}
const stateOf = async (device: string) =>
  (await hub.desk.devices(aGradingId)).find((one) => one.device === device)?.state;
const picture = (page: Page, name: string) =>
  pictured(page, `further-${name}`, ["phone", "landscape"]);
const SOON = { timeout: 3000 };
/** At the chief's door: binds whoever knocked to the judge, and presses. */
async function letsIn(door: Page): Promise<void> {
  await door.getByLabel("Who is Kim’s phone?").selectOption(person, SOON);
  await door.getByRole("button", { name: "Let Kim’s phone in" }).click(SOON);
}

it("[Y193] asks a judge on the board about a second tablet, tells them of one that came in while they were away, and the chief sees both", async () => {
  const judge = await aTablet(person, ["judge"], "judge");
  await judge.locator("[data-zone]").first().waitFor();
  const door = await aTablet("chief", ["chief"], "chief/door");
  await knock("spare");
  await letsIn(door);
  await door.getByText(/’s own tablet to say yes\.$/).waitFor();
  await judge.getByText(/^Is this your second tablet\? It calls itself “Kim’s phone”/).waitFor();
  await picture(judge, "judge-asked");
  await picture(door, "door-waits");
  expect(await stateOf("spare")).toBe("waiting");
  await judge.getByRole("button", { name: "No, not mine" }).click();
  await door.getByText(/said on a tablet of theirs: not mine\.$/).waitFor();
  expect(await stateOf("spare")).toBe("refused");

  await knock("spare");
  await letsIn(door);
  await judge.getByRole("button", { name: "Yes, it is mine" }).click();
  await expect.poll(() => stateOf("spare")).toBe("admitted");
  await judge.waitForTimeout(500);
  expect(await judge.getByText(/Another tablet was let in as you/).count()).toBe(0);

  // With no tablet of the judge's in reach the chief lets in at once; the judge is told on coming back.
  await judge.goto("about:blank");
  await knock("third");
  await expect
    .poll(
      async () => {
        // Let in meanwhile, it is not at the door any more.
        if ((await stateOf("third")) === "waiting") await letsIn(door).catch(() => undefined);
        return stateOf("third");
      },
      { interval: 1000, timeout: 30_000 },
    )
    .toBe("admitted");
  await judge.goto(`${hub.address}/tests/${aGradingId}/judge`);
  const told = judge.getByText(
    /^Another tablet was let in as you at \d\d:\d\d by the chief examiner\.$/,
  );
  await told.first().waitFor();
  await picture(judge, "judge-told");
  // The one they said yes to is told as well, the page having forgotten it.
  const known = judge.getByRole("button", { name: "That was me" });
  for (let one = 0; one < 2; one++) {
    await known.click();
    await expect.poll(() => known.count()).toBe(1 - one);
  }
  expect(await told.count()).toBe(0);
  await judge.reload();
  await judge.locator("[data-zone]").first().waitFor();
  expect(await told.count()).toBe(0);
  await door.goto(`${hub.address}/tests/${aGradingId}/chief/kept`);
  await door
    .getByText(/came in on a further tablet at/)
    .first()
    .waitFor();
  await picture(door, "kept");
});
