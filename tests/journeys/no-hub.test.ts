import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { Chief, type GivenFile } from "./people/chief.ts";
import { savedBy } from "./people/files.ts";
import { Judge } from "./people/judge.ts";
import { ANYA, aSmallPlan, BEN, CORA, JUDGES } from "./small-test.ts";

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
  for (const page of pages) {
    await page.goto(`${hall.address}/`);
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
    await page.getByText("No hub answers here.").waitFor();
    await page.getByRole("button", { name: /^Open a test pack/ }).click();
    await page.getByLabel("Choose the file").setInputFiles(pack);
    await page.getByRole("button", { name: new RegExp(`^${JUDGES[at]}`) }).click();
  }
});

it("lets each judge step through a section alone, mark it and lock it", async () => {
  for (const [at, judge] of judges.entries()) {
    await judge.sees("Rising block", "left side");
    await judge.marks(ANYA, "chamber", ["Nearly", "Strong", "Not yet"][at] as string);
    await judge.restMeets();
    await judge.stepsOn();
    await judge.sees("Rising block", "right side");
    await judge.restMeets();
    await judge.stepsOn();
    await judge.sees("Low block", "left side");
    await judge.stepsOn();
    await judge.sees("Low block", "right side");
    await judge.restMeets();
    await judge.stepsOn();
    await judge.sees("Close of blocks");
    await judge.restMeets();
    await judge.stepsOn();
    await judge.sees("Overall, blocks");
    for (const who of [ANYA, BEN, CORA]) await judge.marks(who, "overall", "Pass");
    await judge.locks("blocks");
  }
  // An exception, four closing taps, three overall judgements and a lock.
  expect(judges.map(({ acts }) => acts)).toEqual([9, 9, 9]);
});

it("saves what each tablet holds as a scorebook file", async () => {
  for (const { page } of judges) {
    // Opened cold once more: what was marked is on the disk, not only in the page.
    await page.goto(`${hall.address}/`);
    await page.getByRole("button", { name: "Remove Autumn belt test from this device" }).click();
    files.push(await savedBy(page, page.getByRole("button", { name: "Save the scorebook file" })));
  }
  for (const { buffer } of files) {
    const { entries } = JSON.parse(buffer.toString("utf8")) as { entries: { kind: string }[] };
    const kinds = (kind: string) => entries.filter((entry) => entry.kind === kind).length;
    expect([kinds("mark"), kinds("overall"), kinds("locked")]).toEqual([5, 3, 1]);
  }
});

it("takes the files, and opens the section to the chief with the last of them only", async () => {
  const { page } = chief;
  const [last, ...first] = files.toReversed() as [GivenFile, ...GivenFile[]];
  await page.getByLabel("Open scorebook files").setInputFiles(first);
  await takes(JUDGES.slice(0, -1));
  await chief.looksAt(ANYA);
  // Ten cells of Anya for each of three judges.
  await page
    .getByRole("listitem")
    .filter({ hasText: /Blocks.*20 of 30 marks in.*to lock: Pell Odaka/s })
    .waitFor();
  expect(await page.getByText("Nearly", { exact: true }).count()).toBe(0);

  await chief.goes("Set up");
  await page.getByRole("link", { name: "Ready" }).click();
  await page.getByLabel("Open scorebook files").setInputFiles(last);
  await takes(JUDGES.slice(-1));
  await chief.looksAt(ANYA);
  const blocks = page.getByRole("group").filter({ hasText: "Blocks" });
  await blocks.getByRole("heading", { name: "Rising block, left side" }).waitFor();
  const said = (await blocks.getByRole("listitem").allInnerTexts()).map((words) =>
    words.replace(/\s+/g, " ").trim(),
  );
  // Worked by hand: ten cells and the overall. One cell is told judge by judge, levels 2, 4 and 1; nine are alike.
  expect(said).toEqual([
    "Quist Nearly",
    "Lund Strong",
    "Odaka Not yet",
    "panel mark 2.33",
    ...Array.from({ length: 9 }, () => "all 3: Meets"),
    "Quist: pass",
    "Lund: pass",
    "Odaka: pass",
  ]);
});

it("has sent no line of a judge to any hub, and asked for nothing outside the hall", async () => {
  const { entries } = await hall.exported();
  expect(entries.filter(({ kind }) => kind === "opened")).toHaveLength(1);
  expect(entries.filter(({ kind }) => /^(mark|overall|locked)$/.test(kind))).toEqual([]);
  expect(hall.complaints).toEqual([]);
});

/** The chief reads what each file brings, then takes it. */
async function takes(names: readonly string[]): Promise<void> {
  const { page } = chief;
  for (const name of names) await page.getByText(new RegExp(`, from ${name}$`)).waitFor();
  // Five marks, three overall judgements, a lock; the plan in the file is here already.
  expect(await page.getByText("9 new lines. Nothing is refused.").count()).toBe(names.length);
  for (const _ of names) await chief.key("Take 9 lines").first().click();
  for (const name of names) await page.getByText(`Taken from ${name}: 9 lines.`).waitFor();
}
