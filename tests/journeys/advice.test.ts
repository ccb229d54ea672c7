import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { Hall } from "./hall.ts";
import { JUDGES, RUBRIC_TITLE } from "./small-test.ts";
import { BLOCKS, ETIQUETTE, marksCall } from "./the-calls.ts";
import { everybodyIsHere, gathered, type People } from "./together.ts";

let hall: Hall;
let people: People;

beforeAll(async () => {
  hall = await Hall.open();
  people = await gathered(hall);
});
afterAll(async () => {
  await hall?.close();
});

/** One level in one line of a performance that is marked sitting down. */
const marksSeated = (page: Page, title: string, criterion: string, level: string) =>
  page
    .getByRole("region", { name: title, exact: true })
    .getByRole("group", { name: criterion })
    .getByLabel(level, { exact: true })
    .check();
const says = (page: Page, words: string | RegExp) => page.getByText(words).first().waitFor();

it("shows one performance to all judges before the first call, and says who has marked it", async () => {
  const { chief, judges } = people;
  const { page } = chief;
  await chief.goes("Panel");
  await says(page, "Nothing to say yet");
  await page.getByRole("link", { name: "Agreed performances and earlier tests" }).click();
  await page.getByLabel("Which section").selectOption({ label: `${RUBRIC_TITLE}: Blocks` });
  await page.getByRole("button", { name: "Ask all judges to mark it" }).click();
  await page.getByText(/^The agreed marks/).click();
  await marksSeated(page, "Low block", "Chamber", "Nearly");
  await marksSeated(page, "Low block", "Target", "Meets");
  await page.getByRole("button", { name: "Keep these marks" }).click();
  await says(page, "Kept.");

  for (const [at, { page: glass }] of judges.slice(0, 2).entries()) {
    await glass.getByRole("link", { name: /^A performance is shown to all judges/ }).click();
    await says(glass, "Mark this together with all judges");
    // The agreed marks are not on the judge's glass.
    expect(await glass.getByRole("radio", { checked: true }).count()).toBe(0);
    await marksSeated(glass, "Low block", "Chamber", at === 0 ? "Not yet" : "Nearly");
    await glass.getByRole("button", { name: "Hand in" }).click();
    await says(glass, "Handed in. You may still change it.");
    await glass.goBack();
  }
  await says(page, `Marked by: ${JUDGES[0]} and ${JUDGES[1]}`);
  await says(page, `Still to mark it: ${JUDGES[2]}`);
});

it("says after the first call that nothing more of it can be agreed", async () => {
  const { caller, chief, desk, judges } = people;
  await everybodyIsHere(desk);
  await caller.opensWave(1);
  await says(chief.page, /^The test has been called, so nothing more can be agreed/);
  await says(chief.page, `Did not mark it: ${JUDGES[2]}`);
  expect(await chief.key("Ask all judges to mark it").count()).toBe(0);

  let set = 1;
  for (const call of [...BLOCKS, ETIQUETTE]) {
    while (set < call.set) await caller.next(++set);
    if (call.side) await caller.counts();
    await Promise.all(judges.map((judge, at) => marksCall(judge, at, call)));
  }
  for (const judge of judges) {
    await judge.locks("blocks");
    await judge.locks("etiquette");
  }
});

it("tells the chief in plain words what three candidates can say of a panel, and what they cannot", async () => {
  const { chief } = people;
  const { page } = chief;
  await chief.goes("Panel");
  await says(page, "From what is open: 3 candidates, 87 marks");
  const next = page.getByRole("region", { name: "What to do next" });
  await next.getByText(/^Nothing yet: too few candidates were marked by two judges/).waitFor();
  await says(
    page,
    "Too little to say: 3 candidates were marked by somebody else too, and 6 are needed.",
  );
  await says(page, /^Of 100 times that two judges marked the same thing, \d+ times/);
  await says(page, "All judges can be compared: they share candidates.");
  await says(page, /^When every sheet is released, you can give each judge a page/);

  await page.getByRole("link", { name: "Techniques and sections" }).click();
  await says(page, "A class of 3 says little of a technique.");
  await page.getByText("Every technique", { exact: true }).click();
  const low = page.getByRole("row", { name: /^Low block/ });
  // Anya and Ben meet; Cora nearly: chamber 2, target 3 by all three judges. Worked by hand: (66.7 + 66.7 + 50) / 3 = 61.1.
  expect(await low.locator("th, td").allTextContents()).toEqual(["Low block", "61 %", "1 of 3"]);
});

it("gives each judge a page after release, with that judge's own figures and nobody else's", async () => {
  const { chief, judges } = people;
  await chief.decides();
  await chief.goes("Panel");
  await chief.key("Give each judge their page").click();
  await says(chief.page, "3 judges have a page.");
  // Ten cells for each of three; the second did not see Cora's rising block on the left.
  for (const [at, { page }] of judges.entries()) {
    await page.getByRole("button", { name: /^Calls/ }).click();
    await page.getByRole("link", { name: "My marking" }).click();
    await says(page, /^Too little to say: 3 candidates you marked had marks of another judge too/);
    await says(
      page,
      new RegExp(`^3 candidates, ${at === 1 ? 27 : 30} marks, \\d+ % by “rest meets”`),
    );
    await says(page, "This page is yours alone");
    expect(await toldOnDisk(page)).toHaveLength(1);
  }
  const told = await Promise.all(judges.map(({ page }) => toldOnDisk(page)));
  expect(new Set(told.flat()).size).toBe(3);
  expect(hall.complaints).toEqual([]);
});

/** Whom the pages given to judges speak of, as far as this tablet holds any. */
const toldOnDisk = (page: Page): Promise<string[]> =>
  page.evaluate(async () => {
    const asked = <Result>(request: IDBRequest<Result>) =>
      new Promise<Result>((done, failed) => {
        request.onsuccess = () => done(request.result);
        request.onerror = () => failed(request.error);
      });
    const found: string[] = [];
    for (const { name = "" } of await indexedDB.databases()) {
      const database = await asked(indexedDB.open(name));
      for (const store of database.objectStoreNames)
        for (const row of await asked(database.transaction(store).objectStore(store).getAll()))
          if (row.entry?.kind === "judge-told") found.push(row.entry.body.judge);
      database.close();
    }
    return found;
  });
