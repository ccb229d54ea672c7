import type { Page } from "playwright-core";

/** The caller in front of the line. */
export class Caller {
  readonly page: Page;
  constructor(page: Page) {
    this.page = page;
  }

  async opensWave(wave: number): Promise<void> {
    await this.page.getByRole("button", { name: new RegExp(`^Wave ${wave}\\b`) }).click();
    await this.page.getByRole("button", { name: "Call again" }).waitFor();
  }

  /** Every count of the set, one tap each; the next when the stroke of the last one stands. */
  async counts(): Promise<void> {
    const strokes = this.page.getByRole("region", { name: "Counts", exact: true });
    const counts = await strokes.getByRole("listitem").count();
    if (counts === 0) throw new Error("Caller.counts: nothing to count");
    for (let count = 1; count <= counts; count++) {
      await this.page.getByRole("button", { name: /^Count tap on each count/ }).click();
      await strokes.locator("[aria-current=step]", { hasText: `${count}` }).waitFor();
    }
  }

  /** @returns the set on the floor as the screen says it: "set 2 of 6". */
  async next(set: number): Promise<void> {
    await this.page
      .getByRole("button", { name: /^Next\b/ })
      .last()
      .click();
    await this.page.getByText(new RegExp(`^set ${set} of `)).waitFor();
  }

  /** When the wave on the floor is over. */
  async opensNextWave(wave: number): Promise<void> {
    await this.page
      .getByRole("button", { name: /Next wave/ })
      .last()
      .click();
    await this.opensWave(wave);
  }

  /** Shouts first, then taps. */
  async stops(): Promise<void> {
    await this.page.getByRole("button", { name: /^STOP/ }).click();
    await this.page.getByRole("alertdialog").waitFor();
  }
  async goesOn(): Promise<void> {
    await this.page.getByRole("button", { name: "The floor is clear, go on" }).click();
    await this.page.getByRole("alertdialog").waitFor({ state: "detached" });
  }
}
