import type { Locator, Page } from "playwright-core";

/** How long a tap may take to show; the board is deaf for a moment after it changed, and then a person taps again. Milliseconds. */
const SHOWS_MS = 450;

/** A judge with a tablet on the forearm. Marks by exception, as the words on the glass say. */
export class Judge {
  readonly page: Page;
  /** Acts that must each be on the hub in the end. */
  acts = 0;

  constructor(page: Page) {
    this.page = page;
  }

  /** Waits until the board shows what is called: its heading, and its side where it has one. */
  async sees(title: string, side?: string): Promise<void> {
    await this.page.getByRole("heading", { level: 1, name: title, exact: true }).waitFor();
    if (side) await this.page.getByText(side, { exact: true }).waitFor();
  }

  /** @param who  "2 Ben"; @param row  as on the glass, lower case: "chamber". */
  cell(who: string, row: string): Locator {
    return this.page.getByRole("gridcell", { name: new RegExp(`^${who}, ${row}: `) });
  }

  /** One tap on a level. */
  async marks(who: string, row: string, level: string): Promise<void> {
    const cell = this.cell(who, row);
    await cell.waitFor();
    const before = await cell.getAttribute("aria-label");
    await this.#taps(
      cell.getByRole("button", { name: level, exact: true }),
      async () => (await cell.getAttribute("aria-label")) !== before,
    );
    await this.stands(who, row, level.toLowerCase());
  }

  /** Waits until a cell says so. */
  async stands(who: string, row: string, state: string): Promise<void> {
    await this.page
      .getByRole("gridcell", { name: `${who}, ${row}: ${state}`, exact: true })
      .waitFor();
  }

  async faults(chip: string): Promise<void> {
    const key = this.page.getByRole("button", { name: chip, exact: true });
    await this.#taps(key, async () => (await key.getAttribute("aria-pressed")) === "true");
  }

  async doesNotSee(who: string): Promise<void> {
    const key = this.page.getByRole("button", { name: `Not seen, ${who}` });
    await this.#taps(key, async () => (await key.getAttribute("aria-pressed")) === "true");
  }

  /** The closing key: what is blank meets. */
  async restMeets(
    word: "Rest of line meets" | "Rest of list done" = "Rest of line meets",
  ): Promise<void> {
    const key = this.page.getByRole("button", { name: new RegExp(`^${word}`) });
    // "All marked" stands in its place, or the board has gone on to what follows.
    await this.#taps(key, async () => (await key.count()) === 0);
  }

  /** One tap takes the last act back. @returns what the rail says was undone. */
  async undoes(): Promise<string> {
    const said = this.page.getByText(/^Undone: /);
    await this.#taps(
      this.page.getByRole("button", { name: "Undo" }),
      async () => (await said.count()) > 0,
    );
    return said.innerText();
  }

  async locks(section: string): Promise<void> {
    await this.page.getByRole("button", { name: new RegExp(`^Lock ${section}`) }).click();
    await this.page
      .getByRole("button", { name: new RegExp(`^Lock ${section}`) })
      .waitFor({ state: "detached" });
    this.acts++;
  }

  /** The tablet says how much only it holds. */
  async keepsHere(lines: number): Promise<void> {
    const said = this.page.getByText(/^No hub: \d+ kept here$/);
    await this.page
      .getByText(`No hub: ${lines} kept here`, { exact: true })
      .waitFor()
      .catch(async (cause: unknown) => {
        const now = (await said.allTextContents()).join(", ") || "no such words";
        throw new Error(`Judge.keepsHere: ${lines} expected, the glass says: ${now}`, { cause });
      });
  }

  async hasTheHub(): Promise<void> {
    await this.page.getByText(/^No hub: /).waitFor({ state: "detached" });
  }

  /** With no caller in reach: the next call of the script. */
  async stepsOn(): Promise<void> {
    await this.page.getByRole("button", { name: /^Next: / }).click();
  }

  /** Back from an earlier call to what is on the floor. */
  async goesBackToNow(): Promise<void> {
    await this.page.getByRole("button", { name: "Back to now" }).click();
  }

  async #taps(key: Locator, hasShown: () => Promise<boolean>): Promise<void> {
    for (let tries = 0; tries < 8; tries++) {
      await key.click();
      for (const until = Date.now() + SHOWS_MS; Date.now() < until; ) {
        if (await hasShown()) {
          this.acts++;
          return;
        }
        await new Promise((later) => setTimeout(later, 25));
      }
    }
    throw new Error(`Judge: tapped and nothing shows: ${key}`);
  }
}
