import type { Page } from "playwright-core";

/** The table at the door, with the list of who is to come. */
export class Desk {
  readonly page: Page;
  constructor(page: Page) {
    this.page = page;
  }

  async checksIn(who: string): Promise<void> {
    const key = { name: `${who} is here` };
    await this.page.getByRole("button", key).click();
    await this.page.getByRole("button", { ...key, pressed: true }).waitFor();
  }

  /** Of a child who was called already, and may have marks: a second step. */
  async findsAbsent(who: string): Promise<void> {
    const key = { name: `${who} is absent` };
    await this.page.getByRole("button", key).click();
    await this.page.getByRole("button", { name: "Absent all the same" }).click();
    await this.page.getByRole("button", { ...key, pressed: true }).waitFor();
  }
}
