import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { pictured } from "./pictures.ts";

let hall: Hall;
let page: Page;
let test: string;
beforeAll(async () => {
  hall = await Hall.open();
  page = await hall.tablet("visitor");
  test = await hall.exampleTest(page);
});
afterAll(() => hall?.close());

/** Every screen, by its address and something a person sees on it. */
const screens: [string, string, RegExp][] = [
  ["home", "/", /Evenhand/],
  ["join", "/join", /Join/],
  ["board", "/chief", /Wave \d/],
  ["candidate", "/chief/candidates/candidate-5", /Leopold/],
  ["panel", "/chief/panel", /Judge by judge|Nothing to say yet/],
  ["what was hard", "/chief/items", /What to practise first|Nothing to say yet/],
  ["a common standard", "/chief/anchors", /Agreed performances/],
  ["kept", "/chief/kept", /What is kept/],
  ["own", "/own", /My marking/],
  ["door", "/chief/door", /At the door/],
  ["desk", "/desk", /Fit to take part/],
  ["set up", "/set-up", /Set up/],
  ["sheets", "/sheets", /Sheets/],
  ["caller", "/caller", /Say|Ask|wave|Nothing/],
  ["judge", "/judge", /STOP/],
];

/** Whatever axe finds on the page as it is. @param rules  only these; all of them for none */
async function found(rules?: string[]): Promise<string[]> {
  const axe = new AxeBuilder({ page });
  const { violations } = await (rules ? axe.withRules(rules) : axe).analyze();
  return violations.map(
    ({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 120)).join(" | ")}`,
  );
}

describe("every screen, in a bright and a dark hall", () => {
  it.each(screens)("%s: axe finds nothing", async (name, address, seen) => {
    await page.emulateMedia({ colorScheme: "light" });
    await page.goto(hall.address + (["/", "/join"].includes(address) ? "" : test) + address);
    await page.getByText(seen).first().waitFor();
    await page.getByRole("progressbar").waitFor({ state: "detached" });
    expect(await found()).toEqual([]);
    // The page is the same in the dark, its colours are not.
    await page.emulateMedia({ colorScheme: "dark" });
    expect(await found(["color-contrast"])).toEqual([]);
    await pictured(page, name.replaceAll(" ", "-"), ["landscape", "portrait", "phone"]);
  });

  it("what a judge needs now and then: axe finds nothing", async () => {
    await page.emulateMedia({ colorScheme: "light" });
    await page.goto(`${hall.address}${test}/judge`);
    const more = page.getByRole("button", { name: /^More/ });
    await page
      .getByRole("button", { name: /^(Calls|Still open)/ })
      .first()
      .click();
    await more.click();
    const back = page.locator(".more-dialog-part", {
      hasText: "Should you not judge one of these",
    });
    await back.getByRole("button").first().click();
    await back.getByText(/There is no way back/).waitFor();
    expect(await found()).toEqual([]);
    await page.emulateMedia({ colorScheme: "dark" });
    expect(await found(["color-contrast"])).toEqual([]);
    await back.scrollIntoViewIfNeeded();
    await pictured(page, "judge-more", ["landscape", "portrait", "phone"]);
  });

  it("[H33] said nothing wrong and asked nobody outside the hall", () => {
    expect(hall.complaints).toEqual([]);
  });
});
