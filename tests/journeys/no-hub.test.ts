import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { Chief } from "./people/chief.ts";
import { Desk } from "./people/desk.ts";
import { type GivenFile, savedBy } from "./people/files.ts";
import { Judge } from "./people/judge.ts";
import { expectTheSheets } from "./sheets.ts";
import { ANYA, aSmallPlan, BEN, JUDGES } from "./small-test.ts";
import { ETIQUETTE, marksBlocksAlone, marksCall } from "./the-calls.ts";
import { everybodyIsHere, tapped } from "./together.ts";
import { told } from "./told.ts";

let hall: Hall;
let chief: Chief;
let pack: GivenFile;
let judges: Judge[];
const files: GivenFile[] = [];

beforeAll(async () => {
  hall = await Hall.open();
  chief = new Chief(await hall.tablet("chief"));
  await chief.claims(hall);
  await chief.plans(aSmallPlan());
  await chief.opensTheTest();
  pack = await savedBy(chief.page, chief.key("Save the test pack"));
  // Each tablet has opened the app once, as on the evening before, and been let into nothing.
  const pages = await Promise.all(JUDGES.map((whose) => hall.tablet(whose)));
  for (const page of [chief.page, ...pages]) {
    if (page !== chief.page) await page.goto(`${hall.address}/`);
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    await page.reload();
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    await page.goto("about:blank");
  }
  judges = pages.map((page) => new Judge(page));
  await hall.killHub();
});
afterAll(async () => {
  await hall?.close();
});

it("opens cold on every tablet and takes the test pack", async () => {
  for (const [at, { page }] of judges.entries()) {
    await page.goto(`${hall.address}/`);
    await page.getByText("No hub is connected.").waitFor();
    await page.getByRole("button", { name: /^Open a test pack/ }).click();
    await page.getByLabel("Choose the file").setInputFiles(pack);
    await page.getByRole("button", { name: new RegExp(`^${JUDGES[at]}`) }).click();
  }
});

it("lets each judge step through the whole test alone, mark it and lock it", async () => {
  await Promise.all(
    judges.map(async (judge, at) => {
      await marksBlocksAlone(judge, at);
      await judge.locks("blocks");
      await judge.stepsOn();
      await marksCall(judge, at, ETIQUETTE);
      await judge.locks("etiquette");
    }),
  );
});

it("saves what each tablet holds as a scorebook file", async () => {
  for (const { page } of judges) files.push(await savesTheBook(page));
  // Everything that was tapped, and nothing else; nobody's but that judge's own.
  expect(Object.assign({}, ...files.map(read))).toEqual(tapped(judges));
  expect(files.map((file) => Object.keys(read(file)))).toEqual(JUDGES.map((name) => [name]));
});

it("takes the files, and opens the test to the chief with the last of them only", async () => {
  const { page } = chief;
  // The chief's device is opened cold too.
  await page.goto(`${hall.address}/`);
  await page.getByText("No hub is connected.").waitFor();
  await page.getByRole("link", { name: "Open Autumn belt test" }).click();
  await chief.goes("Desk");
  await everybodyIsHere(new Desk(page));

  await takes(JUDGES.slice(0, -1));
  await chief.looksAt(ANYA);
  // Ten cells of Anya for each of three judges.
  await page
    .getByRole("listitem")
    .filter({ hasText: /Blocks.*2 of 3 judges have marked all.*to lock: Pell Odaka/s })
    .waitFor();
  expect(await page.getByText("Meets", { exact: true }).count()).toBe(0);

  await takes(JUDGES.slice(-1));
  await chief.looksAt(BEN);
  const blocks = page.getByRole("group").filter({ hasText: "Blocks" });
  await blocks.getByRole("heading", { name: "Rising block, left side" }).waitFor();
  const said = (await blocks.getByRole("listitem").allInnerTexts()).map((words) =>
    words.replace(/\s+/g, " ").trim(),
  );
  // Worked by hand: ten cells and the overall. One cell is told judge by judge, levels 1, 3 and 4 with a fault; nine are alike.
  expect(said).toEqual([
    "all 3: Meets",
    "Quist Not yet",
    "Lund Meets, by “rest meets”",
    "Odaka Strong",
    "panel mark 2.67",
    ...Array.from({ length: 8 }, () => "all 3: Meets"),
    "Quist: pass",
    "Lund: pass",
    "Odaka: pass",
  ]);
});

it("ends with the same verdicts and sheets, and with every tap in the chief's book", async () => {
  await chief.decides();
  await expectTheSheets(chief);
  expect(read(await savesTheBook(chief.page))).toEqual(tapped(judges));
});

it("has sent no line of a judge to any hub, and asked for nothing outside the hall", async () => {
  const { entries } = await hall.exported();
  expect(entries.filter(({ kind }) => kind === "opened")).toHaveLength(1);
  expect(entries.filter(({ kind }) => /^(mark|faults|overall|locked)$/.test(kind))).toEqual([]);
  expect(hall.complaints).toEqual([]);
});

const read = ({ buffer }: GivenFile) => told(JSON.parse(buffer.toString("utf8")));

/** Opened cold once more: what is saved is what is on the disk, not only in the page. */
async function savesTheBook(page: Page): Promise<GivenFile> {
  await page.goto(`${hall.address}/`);
  await page.getByRole("button", { name: "Remove Autumn belt test from this device" }).click();
  return savedBy(page, page.getByRole("button", { name: "Save the scorebook file" }));
}

/** The chief opens the files of these judges, reads what each brings, then takes it. */
async function takes(names: readonly string[]): Promise<void> {
  const { page } = chief;
  await chief.goes("Set up");
  await page.getByRole("link", { name: "Ready" }).click();
  const those = names.map((name) => JUDGES.indexOf(name as (typeof JUDGES)[number]));
  await page
    .getByLabel("Open scorebook files")
    .setInputFiles(those.map((at) => files[at] as GivenFile));
  for (const [index, at] of those.entries()) {
    // The plan in the file is here already: new is what this judge wrote.
    const lines = judges[at]?.account.lines;
    const brought = page
      .getByRole("status")
      .filter({ hasText: `, from ${names[index]}` })
      .filter({ hasText: `${lines} new lines. Nothing is refused.` });
    await brought.getByRole("button", { name: `Take ${lines} lines` }).click();
    await page.getByText(`Taken from ${names[index]}: ${lines} lines.`).waitFor();
  }
}
