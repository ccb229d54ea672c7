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

  /** Every count of the set, one tap each. */
  async counts(): Promise<void> {
    const count = this.page.getByRole("button", { name: /^Count tap on each count/ });
    for (let taps = 0; (await count.count()) > 0; taps++) {
      if (taps > 20) throw new Error("Caller.counts: the set does not end");
      await count.click();
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
}
