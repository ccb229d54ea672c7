import { readFile } from "node:fs/promises";
import type { Locator, Page } from "playwright-core";

/** What a file chooser is given, straight from memory. */
export interface GivenFile {
  name: string;
  mimeType: string;
  buffer: Buffer;
}
export const aFile = (name: string, text: string, mimeType = "application/json"): GivenFile => ({
  name,
  mimeType,
  buffer: Buffer.from(text),
});

/** What a key saves on the device, as it would be carried over to another one. */
export async function savedBy(page: Page, key: Locator): Promise<GivenFile> {
  const [download] = await Promise.all([page.waitForEvent("download"), key.click()]);
  return aFile(download.suggestedFilename(), await readFile(await download.path(), "utf8"));
}
