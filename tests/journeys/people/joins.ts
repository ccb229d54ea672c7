import type { Page } from "playwright-core";
import type { Hall } from "../hall.ts";

/** Somebody with a tablet asks at the door, by code. */
export async function joins(
  page: Page,
  hall: Hall,
  who: { name: string; role: "Judge" | "Caller" | "Desk"; code: string },
): Promise<void> {
  await page.goto(`${hall.address}/`);
  await page.getByRole("link", { name: /^Join a belt test with a code/ }).click();
  await page.getByLabel("Code").fill(who.code);
  await page.getByLabel("Your name").fill(who.name);
  await page.getByRole("radio", { name: new RegExp(`^${who.role}`) }).check();
  await page.getByRole("button", { name: "Ask to be let in" }).click();
  await page.getByRole("heading", { name: "Waiting to be let in" }).waitFor();
}
