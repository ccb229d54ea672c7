import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { pictured } from "./pictures.ts";

let hall: Hall;
let page: Page;
let test: string;
beforeAll(async () => {
  hall = await Hall.open();
  page = await hall.tablet("chief");
  test = await hall.exampleTest(page);
  // So that there are sheets.
  await page.goto(`${hall.address}${test}/chief`);
  await page.getByRole("button", { name: /^Issue \d+ clear verdict/ }).click();
  await page.getByRole("button", { name: /^Seal/ }).click();
  await page.getByText(/verdicts? issued\./).waitFor();
});
afterAll(() => hall?.close());

const pages: [string, string, RegExp][] = [
  ["board", "/chief", /Wave \d/],
  ["candidate", "/chief/candidates/candidate-5", /Leopold/],
  ["panel", "/chief/panel", /Judge by judge|Nothing to say yet/],
  ["kept", "/chief/kept", /What is kept/],
  ["door", "/chief/door", /At the door/],
  ["desk", "/desk", /Fit to take part/],
  ["sheets", "/sheets", /Print all/],
  ["waves", "/set-up?step=waves", /Waves and lanes/],
];
const sizes = [
  [1180, 820],
  [820, 1180],
  [1440, 900],
  [390, 844],
] as const;

/** Keys of which the middle lies on the glass, and belongs to the stop. `stays`: those alone that stay at the lower edge wherever the page is. */
const beneath = (stays: boolean): string[] => {
  const isStaying = (part: Element | null): boolean => {
    if (!part) return false;
    const { position, bottom } = getComputedStyle(part);
    return (position === "sticky" && bottom === "0px") || isStaying(part.parentElement);
  };
  const keys = [
    ...document.querySelectorAll("[data-part=session-screen] :is(button, a[href], select, input)"),
  ].filter((key) => !stays || isStaying(key));
  return keys.flatMap((key) => {
    const { left, top, width, height } = key.getBoundingClientRect();
    const hit = document.elementFromPoint(left + width / 2, top + height / 2);
    return hit?.closest(".stop-at-hand") ? [key.textContent ?? key.outerHTML.slice(0, 80)] : [];
  });
};

// A stranger's chief who tapped for the child before stopped the hall.
it.each(pages)(
  "[Y223] %s: no key lies beneath the stop, half way down or at its end",
  async (name, address, seen) => {
    await page.goto(hall.address + test + address);
    await page.getByText(seen).first().waitFor();
    await page.getByRole("progressbar").waitFor({ state: "detached" });
    for (const [width, height] of sizes) {
      await page.setViewportSize({ width, height });
      // Keys that stay at the lower edge, on a page half way down; a phone has no room for both.
      await page.evaluate(() => scrollTo(0, 120));
      await page.waitForTimeout(600);
      const staying = await page.evaluate(beneath, true);
      if (width > 600) expect(staying, `half way, ${width} × ${height}`).toEqual([]);
      // Twice: with the stop the page may have grown.
      for (let turn = 0; turn < 2; turn++) {
        await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
        await page.waitForTimeout(600);
      }
      const under = await page.evaluate(beneath, false);
      expect(under, `${width} × ${height}`).toEqual([]);
    }
    await pictured(page, `stop-at-hand-${name}`, ["landscape", "phone"]);
  },
);
