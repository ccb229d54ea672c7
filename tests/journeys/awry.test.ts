import { afterAll, beforeAll, expect, it } from "vitest";
import { anAwryPlan, DOV, ELI, FIRST_TWO_SECTIONS, KICKS, PLAIN, WAVES } from "./awry-plan.ts";
import { Hall } from "./hall.ts";
import { pictured } from "./pictures.ts";
import { saysTheSame } from "./says-the-same.ts";
import { ANYA, BEN, CORA, JUDGES } from "./small-test.ts";
import { type Call, marksCall } from "./the-calls.ts";
import { everybodyIsHere, gathered, linesOf, type People, tapped } from "./together.ts";
import { told } from "./told.ts";

const EVERYBODY = WAVES.flat();
const TABLETS = ["landscape", "portrait", "phone"] as const;

let hall: Hall;
let people: People;
/** Nothing is open of whoever left, and nobody waits for them. */
const GONE = Object.fromEntries(
  [BEN, CORA].map((who) => [who, { Blocks: "", Etiquette: "", Kicks: "" }]),
);
/** The set of the wave on the floor. */
let set = 1;

beforeAll(async () => {
  hall = await Hall.open();
  people = await gathered(hall, anAwryPlan());
  await everybodyIsHere(people.desk, EVERYBODY);
});
afterAll(async () => {
  await hall?.close();
});

/** @param by  which judges are quick enough to mark it now. */
async function calls(some: readonly Call[], by: readonly number[] = [0, 1, 2]): Promise<void> {
  const { caller, judges } = people;
  for (const call of some) {
    while (set < call.set) await caller.next(++set);
    if (call.side && set === 1) await caller.counts();
    await Promise.all(by.map((at) => judges[at] && marksCall(judges[at], at, call)));
    for (const at of by) await judges[at]?.showsItsOwn();
  }
}
const standBefore = (children: readonly string[]) => {
  for (const judge of people.judges) judge.children = children;
};
const closedFor = (children: readonly string[], words: Record<string, string>) =>
  Object.fromEntries(children.map((who) => [who, words]));

it("marks two sections of the first wave, and tells the chief how many judges are done, never how much", async () => {
  const { caller, chief, judges } = people;
  await caller.opensWave(1);
  const etiquette = FIRST_TWO_SECTIONS.at(-1) as Call;
  await calls(FIRST_TWO_SECTIONS.slice(0, -1));
  // Two of three are done with the list; the third still looks.
  set = 5;
  await calls([etiquette], [0, 1]);
  await saysTheSame(
    hall,
    chief,
    {
      ...closedFor(WAVES[0], {
        Blocks: "all marked, waits for 3 locks",
        Etiquette: "2 of 3 judges have marked all",
        Kicks: "0 of 3 judges have marked all",
      }),
      ...closedFor(WAVES[1], {
        Blocks: "0 of 3 judges have marked all",
        Etiquette: "0 of 3 judges have marked all",
        Kicks: "0 of 3 judges have marked all",
      }),
    },
    EVERYBODY,
  );
  await chief.turnsTo(ANYA);
  await pictured(chief.page, "board-mid-test", ["laptop", "landscape"]);
  await pictured(caller.page, "caller-row", TABLETS);
  await chief.looksAt(ANYA);
  await pictured(chief.page, "candidate-closed", ["laptop", "landscape"]);
  await marksCall(judges[2], 2, etiquette);
});

it("withdraws a child who is hurt, and goes on with the others", async () => {
  const { caller, chief, judges } = people;
  await caller.stops();
  await chief.withdraws(BEN, "hurt");
  await caller.goesOn();
  standBefore([ANYA, CORA]);
  await calls(KICKS);
  await Promise.all(judges.map((judge) => judge.showsItsOwn()));
  await pictured(judges[0].page, "judge-before-lock", TABLETS);
});

it("finds a child absent who was marked, locks the others, and opens the marks child by child", async () => {
  const { chief, desk, judges } = people;
  await desk.findsAbsent(CORA);
  for (const judge of judges) await judge.seesLeft(CORA);
  standBefore([ANYA]);
  const closed = closedFor(WAVES[1], {
    Blocks: "0 of 3 judges have marked all",
    Etiquette: "0 of 3 judges have marked all",
    Kicks: "0 of 3 judges have marked all",
  });
  for (const judge of judges.slice(0, 2))
    for (const section of ["blocks", "etiquette", "kicks"]) await judge.locks(section);
  await judges[2].locks("blocks");
  // One section is open of the child who is here; of those who left nothing is, and nobody waits for them.
  const waits = "all marked, waits for 1 lock";
  await saysTheSame(
    hall,
    chief,
    { ...closed, ...GONE, [ANYA]: { Etiquette: waits, Kicks: waits } },
    EVERYBODY,
  );
  await pictured(chief.page, "board-one-open", ["laptop"]);
  await chief.looksAt(ANYA);
  await pictured(chief.page, "candidate-waits", ["laptop", "landscape"]);
  await judges[2].locks("etiquette");
  await judges[2].locks("kicks");
  await saysTheSame(hall, chief, { ...closed, ...GONE }, EVERYBODY);
});

it("marks a second wave as if nothing had been", async () => {
  const { caller, chief, judges } = people;
  standBefore([DOV, ELI]);
  await caller.opensNextWave(2);
  set = 1;
  await calls(PLAIN);
  for (const judge of judges)
    for (const section of ["blocks", "etiquette", "kicks"]) await judge.locks(section);
  await saysTheSame(hall, chief, GONE, EVERYBODY);
});

it("takes one re-mark that the chief asked for, and nothing after the judge has answered", async () => {
  const { chief, judges } = people;
  const [first] = judges;
  await chief.looksAt(ANYA);
  await chief.asksAgain("Mara Quist");
  await pictured(chief.page, "candidate-asked", ["laptop", "landscape"]);
  await first.page.getByText("Please look again at 1 Anya").waitFor();
  await pictured(first.page, "judge-asked", TABLETS);
  first.children = [ANYA];
  await first.isAskedAbout(ANYA, "Rising block, left side, Extension");
  await pictured(first.page, "judge-looking", TABLETS);
  await first.marks(ANYA, "extension", "Meets");
  // It is told at once, and can be taken back until the judge says so.
  await saysTheSame(hall, chief, GONE, EVERYBODY);
  await first.hasLooked();
  await first.showsItsOwn();
  await pictured(first.page, "judge-looked", TABLETS);
  // The board is closed again: a tap marks nothing.
  await first.cell(ANYA, "extension").getByRole("button", { name: "Strong", exact: true }).click();
  // Undo shows that nothing is left to take back, and takes nothing when it is tapped all the same.
  const undo = first.page.getByRole("button", { name: "Undo", disabled: true });
  await undo.click({ force: true });
  await first.stands(ANYA, "extension", "meets");
  await saysTheSame(hall, chief, GONE, EVERYBODY);
});

it("issues verdicts for whoever is here, and releases their sheets", async () => {
  const { chief } = people;
  await chief.looksAt(ANYA);
  await pictured(chief.page, "candidate-remarked", ["laptop", "landscape"]);
  await chief.settlesWhatIsOpen("Looked at it together; the marks stand.");
  await chief.issues(3);
  await saysTheSame(hall, chief, GONE, EVERYBODY);
  await chief.turnsTo(ANYA);
  await pictured(chief.page, "board-issued", ["laptop"]);
  await chief.releases(4);
  await pictured(chief.page, "sheets", ["laptop"]);
});

it("gives the chief the marks of those who left once the test is closed, and they decide nothing", async () => {
  const { chief, judges } = people;
  await chief.closesTheTest();
  await saysTheSame(hall, chief, GONE, EVERYBODY);
  await chief.turnsTo(ANYA);
  await pictured(chief.page, "board-closed", ["laptop"]);
  await chief.looksAt(BEN);
  const { page } = chief;
  await page.getByText("kept, not locked: counts for nothing").first().waitFor();
  // Everything that the three judges had tapped of him in blocks: ten cells each.
  const held = page.locator(".candidate-marks-section").filter({ hasText: "Blocks" });
  if ((await held.getAttribute("open")) === null) await held.locator("summary").click();
  await held.getByText("Nearly, not locked, counts for nothing").waitFor();
  expect(await held.getByText(/, not locked, counts for nothing$/).count()).toBe(30);
  await pictured(page, "candidate-left", ["laptop", "landscape"]);
  await pictured(judges[0].page, "judge-closed", TABLETS);
});

it("has kept every tap on the hub and nothing that nobody tapped", async () => {
  const file = await hall.exportedWith(linesOf(people.judges));
  expect(told(file)).toEqual(tapped(people.judges));
  expect(Object.keys(told(file))).toEqual([...JUDGES]);
  expect(hall.complaints).toEqual([]);
});
