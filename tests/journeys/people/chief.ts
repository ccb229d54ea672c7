import type { Page } from "playwright-core";
import type { Hall } from "../hall.ts";
import { BEN, CORA } from "../small-test.ts";
import type { GivenFile } from "./files.ts";

interface Plan {
  title: string;
  chief: string;
  rubric: { file: GivenFile; title: string };
  roster: { file: GivenFile; count: number };
  judges: readonly string[];
}

/** The chief examiner at their own device: claims the hub, plans, opens, admits, decides. */
export class Chief {
  readonly page: Page;

  constructor(page: Page) {
    this.page = page;
  }

  key(name: string | RegExp) {
    return this.page.getByRole("button", { name });
  }

  /** Opens the link that the hub printed: this device is the chief's from now on. */
  async claims(hall: Hall): Promise<void> {
    await this.page.goto(`${hall.address}/#key=${hall.key}`);
    await this.page.getByText("This device is the chief examiner’s.").waitFor();
  }

  /** From the first key to a plan in which nothing is missing. */
  async plans(plan: Plan): Promise<void> {
    const { page } = this;
    await this.key(/^Set up a belt test/).click();
    await page.getByLabel("What it is called").fill(plan.title);
    await page.getByLabel("Your name, as chief examiner").fill(plan.chief);
    await this.key("Set it up").click();

    await this.#step("Rubrics");
    await page.getByLabel("Choose the file").setInputFiles(plan.rubric.file);
    await page.getByRole("button", { name: `Use ${plan.rubric.title}`, exact: true }).click();
    await page.getByText(`${plan.rubric.title} is frozen into this test.`).waitFor();

    await this.#step("Candidates");
    await page.getByLabel("Choose the CSV file").setInputFiles(plan.roster.file);
    await this.key(`Take all ${plan.roster.count} candidates`).click();
    await page.getByText(`${plan.roster.count} candidates are entered.`).waitFor();

    await this.#step("Panel");
    for (const judge of plan.judges) await this.#seats(judge, "Judge");
    await this.#seats("Noor", "Caller");
    await this.#seats("Ines", "Desk");

    await this.#step("Waves and lanes");
    await this.key("Suggest waves and who watches whom").click();
    // A complete panel: every bead of the table is put on its line.
    const off = page.getByRole("button", { name: / watches /, pressed: false });
    while ((await off.count()) > 0) {
      const before = await off.count();
      await off.first().click();
      await page.waitForFunction(
        (was) => document.querySelectorAll("button.watch[aria-pressed=false]").length < was,
        before,
      );
    }
  }

  async opensTheTest(): Promise<void> {
    await this.#step("Ready");
    await this.page.getByText("Nothing is missing.").waitFor();
    await this.key("Open the test").click();
    await this.page.getByText("The test is open.").waitFor();
  }

  /** Shows the door. @returns the code that lets people ask. */
  async opensTheDoor(): Promise<string> {
    await this.goes("Door");
    const code = await this.page.getByText(/^Join code /).textContent();
    return (code ?? "").replace(/^Join code /, "");
  }

  async admits(name: string): Promise<void> {
    await this.key(`Let ${name} in`).click();
    await this.page.getByText(`${name} is in.`).waitFor();
  }

  /** At the door, with the question that is asked first. */
  async shutsOut(name: string): Promise<void> {
    await this.goes("Door");
    await this.page.getByRole("button", { name: `Shut ${name} out` }).click();
    await this.page.getByRole("dialog").getByRole("button", { name: "Shut out" }).click();
  }

  /** To another part of the test, by the links every screen of the chief has. */
  async goes(part: "Set up" | "Door" | "Board" | "Panel" | "Desk" | "Sheets"): Promise<void> {
    await this.page.getByRole("navigation").getByRole("link", { name: part, exact: true }).click();
  }

  /** The board, with the wave in which somebody stands. */
  async turnsTo(who: string): Promise<void> {
    await this.goes("Board");
    const { page } = this;
    const head = page.getByRole("columnheader", { name: who });
    const waves = page.getByRole("group", { name: "Waves" }).getByRole("button");
    await page.getByRole("columnheader").nth(1).waitFor();
    for (const wave of await waves.all()) {
      if ((await head.count()) > 0) return;
      await wave.click();
    }
  }

  /** A candidate's page, by way of the board. */
  async looksAt(who: string): Promise<void> {
    await this.turnsTo(who);
    await this.page.getByRole("columnheader", { name: who }).getByRole("link").click();
    await this.page.getByRole("heading", { level: 1, name: who }).waitFor();
  }

  /** Settles every question on the page that could change the result; the marks stand. @returns how many there were. */
  async settlesWhatIsOpen(reason: string): Promise<number> {
    const { page } = this;
    const open = page.getByRole("button", { name: "Settle", exact: true });
    const settled = page.getByText("Stands.", { exact: true });
    for (let count = 0; ; count++) {
      if ((await open.count()) === 0) return count;
      await open.first().click();
      const dialog = page.getByRole("dialog");
      await dialog.getByLabel("Reason").fill(reason);
      // Where that is the only answer there is nothing to choose.
      const stands = dialog.getByRole("radio", { name: "The marks stand as they are" });
      if ((await stands.count()) > 0) await stands.check();
      await dialog.getByRole("button", { name: "Settle it" }).click();
      await settled.nth(count).waitFor();
    }
  }

  /** While the floor stands still. */
  async withdraws(who: string, why: "hurt" | "unwell" | "own wish"): Promise<void> {
    const line = this.page.locator(".stopped-after-candidate").filter({ hasText: who });
    await line.getByRole("button", { name: why }).click();
    await line.getByRole("button", { name: why, pressed: true }).waitFor();
  }

  /** From the question on the page: one judge is asked to look at the cell again. */
  async asksAgain(name: string): Promise<void> {
    const { page } = this;
    await page.getByRole("button", { name: "Ask again" }).first().click();
    const dialog = page.getByRole("dialog");
    for (const box of await dialog.getByRole("checkbox").all()) await box.uncheck();
    await dialog.getByRole("checkbox", { name: new RegExp(`^${name}`) }).check();
    await dialog.getByRole("button", { name: "Ask 1 judge" }).click();
    await dialog.waitFor({ state: "detached" });
  }

  /** Nothing is open any more. */
  async closesTheTest(): Promise<void> {
    await this.goes("Board");
    await this.key(/^Close the belt test/).click();
    await this.page
      .getByRole("dialog")
      .getByRole("button", { name: "Close it", exact: true })
      .click();
    await this.page.getByRole("heading", { name: "The belt test is closed" }).waitFor();
  }

  /** Every clear verdict at once. */
  async issues(count: number): Promise<void> {
    await this.goes("Board");
    await this.key(new RegExp(`^Issue ${count} clear verdict`)).click();
    await this.page.getByRole("dialog").getByRole("button", { name: /^Seal/ }).click();
    await this.page.getByText(new RegExp(`^${count} verdicts? issued\\.`)).waitFor();
  }

  async releases(count: number): Promise<void> {
    await this.goes("Sheets");
    await this.key(new RegExp(`^Release ${count} sheet`)).click();
    const dialog = this.page.getByRole("dialog");
    const told = dialog.getByLabel("Yes, each of them has been told privately");
    if ((await told.count()) > 0) await told.check();
    await dialog.getByRole("button", { name: /^Release (all|it)/ }).click();
    await this.page.getByText(`${count} of ${count} released`).waitFor();
  }

  /** Settles what the marks of the small test leave open, seals every verdict and hands over every sheet. */
  async decides(): Promise<void> {
    // Two judges are three levels apart on Ben; Cora is 1.65 points below the pass mark, within the band of 3.
    for (const who of [BEN, CORA]) {
      await this.looksAt(who);
      const settled = await this.settlesWhatIsOpen("Looked at it together; the marks stand.");
      if (settled === 0) throw new Error(`Chief.decides: nothing was open about ${who}`);
    }
    await this.issues(3);
    await this.releases(3);
  }

  /** @returns every word of a candidate's sheet, as it will be printed. */
  async reads(who: string): Promise<string> {
    await this.page.getByRole("button", { name: new RegExp(`^${who}\\b`) }).click();
    const sheet = this.page.getByRole("region", { name: `The sheet of ${who}` });
    await sheet.waitFor();
    return sheet.innerText();
  }

  /** The printer of this room only notes that it was asked; the pages are taken as PDF. @returns the PDF. */
  async prints(count: number, format: "A4" | "Letter"): Promise<string> {
    const { page } = this;
    await page.evaluate(() => {
      delete document.documentElement.dataset.printed;
      window.print = () => {
        document.documentElement.dataset.printed = "yes";
      };
    });
    await this.key(new RegExp(`^Print all ${count}`)).click();
    await page.waitForFunction(() => document.documentElement.dataset.printed === "yes");
    return (await page.pdf({ format })).toString("latin1");
  }

  async #step(name: string): Promise<void> {
    const { page } = this;
    await page
      .getByRole("navigation", { name: "Steps of the plan" })
      .getByRole("link", { name })
      .click();
    await page.getByRole("heading", { level: 2, name }).waitFor();
  }

  async #seats(name: string, role: string): Promise<void> {
    const { page } = this;
    await page.getByLabel("Name", { exact: true }).fill(name);
    await page.getByLabel("As", { exact: true }).selectOption({ label: role });
    await this.key("Seat").click();
    await page.getByText(`${name} is seated.`).waitFor();
  }
}
