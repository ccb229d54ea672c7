import type { Page } from "playwright-core";

/**
 * Asks a page until the answer is yes. The browser's own waiting does not look at what a promise resolves to: a no ends it too.
 * @throws Error when it is still no after so many milliseconds.
 */
export async function untilInPage(
  page: Page,
  ask: () => Promise<boolean>,
  { timeout = 30_000 } = {},
): Promise<void> {
  for (const end = performance.now() + timeout; !(await page.evaluate(ask)); ) {
    if (performance.now() > end)
      throw new Error(`untilInPage: ${ask.name} said no for ${timeout} ms`);
    await page.waitForTimeout(20);
  }
}
