import { join } from "node:path";
import type { Page } from "playwright-core";

const SIZES = {
  landscape: { width: 1180, height: 820 },
  portrait: { width: 820, height: 1180 },
  phone: { width: 390, height: 844 },
  laptop: { width: 1440, height: 900 },
} as const;

/** For eyes: this page by day and in a dark hall, in each of these sizes, in the folder named by HALL_PICTURES. Without one, nothing. */
export async function pictured(
  page: Page,
  name: string,
  sizes: readonly (keyof typeof SIZES)[],
): Promise<void> {
  const folder = process.env.HALL_PICTURES;
  if (!folder) return;
  const before = page.viewportSize();
  for (const size of sizes) {
    await page.setViewportSize(SIZES[size]);
    for (const theme of ["day", "dark"] as const) {
      await page.evaluate((chosen) => {
        document.documentElement.dataset.theme = chosen;
      }, theme);
      await page.waitForTimeout(300);
      await page.screenshot({ path: join(folder, `${name}-${size}-${theme}.png`) });
    }
  }
  await page.evaluate(() => {
    document.documentElement.dataset.theme = "day";
  });
  if (before) await page.setViewportSize(before);
}
