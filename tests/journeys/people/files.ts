import { readFile } from "node:fs/promises";
import type { Locator, Page } from "playwright-core";
import { aFile, type GivenFile } from "./chief.ts";

/** What a key saves on the device, as it would be carried over to another one. */
export async function savedBy(page: Page, key: Locator): Promise<GivenFile> {
  const [download] = await Promise.all([page.waitForEvent("download"), key.click()]);
  return aFile(download.suggestedFilename(), await readFile(await download.path(), "utf8"));
}
