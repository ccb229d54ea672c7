import type { Locator, Page } from "playwright-core";
import { ASKED, CHILDREN } from "../small-test.ts";
import { Account } from "./account.ts";

/** A judge with a tablet on the forearm. Marks by exception, as the words on the glass say, and keeps account of it. */
export class Judge {
  readonly page: Page;
  readonly account: Account;
  /** Who stands before this judge, in the order of the lanes: what is said of all of them is said of each. */
  children: readonly string[] = CHILDREN;
  /** What is on the board: the heading, and the side where marks of the sides are kept apart. */
  #title = "";
  #side: string | undefined;

  /** @param account  of the same judge before, who has opened the app anew. */
  constructor(page: Page, account = new Account()) {
    this.page = page;
    this.account = account;
  }

  /** Waits until the board shows what is called: its heading, and its side where it has one. */
  async sees(title: string, side?: string): Promise<void> {
    await this.page.getByRole("heading", { level: 1, name: title, exact: true }).waitFor();
    if (side) await this.page.getByText(side, { exact: true }).waitFor();
    this.#title = title;
    this.#side = ASKED[title]?.isOnceForBothSides ? undefined : side;
  }

  /** @param who  "2 Ben"; @param row  as on the glass, lower case: "chamber". */
  cell(who: string, row: string): Locator {
    return this.page.getByRole("gridcell", { name: new RegExp(`^${who}, ${row}: `) });
  }

  /** One tap on a level. */
  async marks(who: string, row: string, level: string): Promise<void> {
    await this.#taps(
      this.cell(who, row).getByRole("button", { name: level, exact: true }),
      this.#saying(who, row, level.toLowerCase()),
    );
    this.account.writes({ [this.#place(who, row)]: level });
  }

  /** Waits until a cell says so. */
  async stands(who: string, row: string, state: string): Promise<void> {
    await this.#saying(who, row, state).waitFor();
  }

  /** A fault of the cell marked last. */
  async faults(who: string, row: string, chip: string): Promise<void> {
    const key = { name: chip, exact: true };
    await this.#taps(
      this.page.getByRole("button", key),
      this.page.getByRole("button", { ...key, pressed: true }),
    );
    this.account.writes({ [`${this.#place(who, row)}, faults`]: chip });
  }

  async doesNotSee(who: string): Promise<void> {
    const key = { name: `Not seen, ${who}` };
    await this.#taps(
      this.page.getByRole("button", key),
      this.page.getByRole("button", { ...key, pressed: true }),
    );
    const { isList } = ASKED[this.#title] ?? {};
    const cells = this.#blank(who).map((place) => [place, "not seen"]);
    this.account.writes(Object.fromEntries(cells), isList);
  }

  /** The closing key: what is blank meets. */
  async restMeets(): Promise<void> {
    const { isList = false } = ASKED[this.#title] ?? {};
    const blank = this.children.flatMap((who) => this.#blank(who));
    // "All marked" stands in its place, or the board has gone on to what follows.
    const key = this.page.getByRole("button", {
      name: isList ? /^Rest of list done/ : /^Rest of line meets/,
    });
    await this.#taps(key, key, "detached");
    const says = `${isList ? "Done" : "Meets"}, by rest`;
    this.account.writes(Object.fromEntries(blank.map((at) => [at, says])), isList);
  }

  /** One tap takes the last act back. @returns what the rail says was undone. */
  async undoes(): Promise<string> {
    const said = this.page.getByText(/^Undone: /);
    await this.#taps(this.page.getByRole("button", { name: "Undo" }), said);
    this.account.undoes();
    return said.innerText();
  }

  /** Waits until the glass asks nothing more of somebody who left the line. */
  async seesLeft(who: string): Promise<void> {
    const asked = this.page.getByRole("gridcell", {
      name: new RegExp(`^${who}, .+: (?!not asked)`),
    });
    await this.page.getByRole("gridcell").first().waitFor();
    await asked.first().waitFor({ state: "detached" });
  }

  async locks(section: string): Promise<void> {
    const key = this.page.getByRole("button", { name: new RegExp(`^Lock ${section}`) });
    await key.click();
    await key.waitFor({ state: "detached" });
    this.account.locks(section, this.children);
  }

  /** The chief asks to look again; the board it is about is opened. @param what  "Rising block, left side, Extension" */
  async isAskedAbout(who: string, what: string): Promise<void> {
    const band = this.page
      .getByRole("status")
      .filter({ hasText: `look again at ${who}: ${what}.` });
    await band.getByRole("button", { name: "Show it" }).click();
    const [title = "", side] = what.split(", ");
    await this.sees(title, side?.endsWith(" side") ? side : undefined);
  }
  /** Says so; from now on nothing more is taken for that request. */
  async hasLooked(): Promise<void> {
    await this.page.getByRole("button", { name: "I have looked" }).click();
    await this.page.getByText(/^Please look again at/).waitFor({ state: "detached" });
    this.account.says("answered");
  }

  /** What is on the board now, cell by cell, is what this hand has tapped; the board may have gone on by itself. */
  async showsItsOwn(): Promise<void> {
    await this.page.getByRole("gridcell").first().waitFor();
    // A slow disk is told on the glass until it has answered.
    const waiting = this.page.getByRole("gridcell", { name: /, not saved yet$/ });
    await waiting.first().waitFor({ state: "detached" });
    const { title, cells } = await this.page.evaluate(() => ({
      title: document.querySelector("h1")?.textContent ?? "",
      cells: [...document.querySelectorAll("[role=gridcell]")].map((one) => one.ariaLabel ?? ""),
    }));
    if (title !== this.#title) this.#side = undefined;
    this.#title = title;
    for (const name of cells) {
      const [, who = "", row = "", state] = /^(.+?), (.+): (.+)$/.exec(name) ?? [];
      if (state === "not asked") continue;
      const tapped = this.account.at(this.#place(who, row)).replace(", by rest", "").toLowerCase();
      if (state !== tapped)
        throw new Error(`Judge: the glass says “${name}” at ${title}, tapped was ${tapped}`);
    }
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

  #place(who: string, row: string): string {
    return [who, this.#title, ...(this.#side ? [this.#side] : []), row].join(", ");
  }
  #blank(who: string): string[] {
    const places = (ASKED[this.#title]?.rows ?? []).map((row) => this.#place(who, row));
    return places.filter((place) => this.account.at(place) === "blank");
  }
  #saying(who: string, row: string, state: string): Locator {
    return this.page.getByRole("gridcell", { name: `${who}, ${row}: ${state}`, exact: true });
  }

  /**
   * Taps, and taps again when the board refused it, as a person does: a board is deaf for a moment after it changed.
   * Never a second time when it was taken, however slowly that shows: a second tap would take the mark off.
   */
  async #taps(key: Locator, shows: Locator, as: "visible" | "detached" = "visible"): Promise<void> {
    for (let tries = 0; tries < 40; tries++) {
      const before = await this.page.evaluate(() => document.documentElement.dataset.taps ?? "0");
      await key.click();
      const answer = await this.page.waitForFunction((was) => {
        const [tap, said] = (document.documentElement.dataset.answer ?? "").split(" ");
        return Number(tap) > Number(was) && said;
      }, before);
      if ((await answer.jsonValue()) === "refused") continue;
      await shows.waitFor({ state: as });
      return;
    }
    throw new Error(`Judge: tapped, and refused each time: ${key}`);
  }
}
