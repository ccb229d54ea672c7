import { type Browser, chromium } from "playwright-core";
import { FLAGS, findBrowser } from "../../src/set-up/find-browser.mjs";

let found: ReturnType<typeof findBrowser> | undefined;

/** A real Chromium, headless. Whoever opens it closes it. @param flags  further ones. @throws Error that says what to do when there is none. */
export async function openBrowser(flags: readonly string[] = []): Promise<Browser> {
  found ??= findBrowser();
  const browser = await found;
  if ("missing" in browser) throw new Error(browser.missing);
  return chromium.launch({
    executablePath: browser.path,
    env: { ...(process.env as Record<string, string>), ...browser.env },
    args: [...FLAGS, ...flags],
  });
}
