import { act, fireEvent, screen, waitFor, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it, vi } from "vitest";
import type { CandidateId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { heldInFile } from "../../../src/belt-test/scorebook/file-seal.ts";
import { readScorebookFile } from "../../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../../src/belt-test/scorebook/scorebook-file.ts";
import { verdictDoubt } from "../../../src/belt-test/verdict/verdict-doubt.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { isAmong } from "../../../src/book/passed-over.ts";
import { coverageKey } from "../../../src/line/coverage-key.ts";
import css from "../../../src/tablet/screens/set-up/set-up.module.css";
import { SetUpScreen } from "../../../src/tablet/screens/set-up/set-up-screen.tsx";
import { candidateDetails } from "../../../src/tablet/session/names.ts";
import { giveRoles } from "../../../src/tablet/session/roles-at-door.ts";
import { saveScorebook } from "../../../src/tablet/session/save-scorebook.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aGradingId, anEntryId, aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { type ASession, aSession } from "../../builders/a-session.tsx";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { settle } from "../../builders/settle.ts";

const at = (step: string) => `/tests/grading-1/set-up?step=${step}`;
const one = "candidate-1" as CandidateId;
const two = "candidate-2" as CandidateId;
const blocks = "blocks" as SectionId;

async function aPlan(step: string, day = aTestDay()): Promise<ASession> {
  // Without watches and start: what the chief still has to do.
  const plan = day.plan.filter(({ kind }) => kind !== "assigned" && kind !== "started");
  const session = await aSession("chief", ["chief"], plan);
  session.show(<SetUpScreen />, at(step));
  return session;
}
async function anEmptyPlan(step: string, rubrics = [aRubric()]): Promise<ASession> {
  const chief = aPen("chief");
  const session = await aSession(
    "chief",
    ["chief"],
    [
      chief.write("opened", { title: "Summer belt test", date: "2026-06-06" }),
      chief.write("seated", { person: "chief" as PersonId, roles: ["chief"] }),
      ...rubrics.map((rubric) => chief.write("frozen", { rubric })),
    ],
  );
  session.show(<SetUpScreen />, at(step));
  return session;
}
/** The form in which the chief corrects the first child, with the name that it asks for. */
async function correctingTheFirst(plan: readonly AnyEntry[]) {
  const mine = await aSession("chief", ["chief"], plan);
  mine.show(<SetUpScreen />, at("candidates"));
  await userEvent.click(screen.getByRole("button", { name: /^Correct 1/ }));
  const form = within(screen.getByRole("dialog"));
  await userEvent.type(form.getByLabelText(/Given name/), "Mia");
  return { mine, form };
}
const undo = async () => {
  await userEvent.click(await screen.findByRole("button", { name: "Undo" }));
  await settle();
};
const aFile = (text: string, name: string) => new File([text], name, { type: "text/plain" });

/** The chief's page on which scorebook files are opened, and two whose files they may be. */
async function whereFilesComeBack() {
  const day = aTestDay();
  const session = await aSession("chief", ["chief"], day.plan);
  session.show(<SetUpScreen />, at("ready"));
  const [judge, other] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
  return { day, session, judge, other };
}

describe("setting up a belt test", () => {
  it("shows six steps and how far each is", async () => {
    await aPlan("test");
    const steps = within(screen.getByRole("navigation", { name: "Steps of the plan" }));
    expect(steps.getAllByRole("link").map(({ textContent }) => textContent)).toEqual([
      "The test done",
      "Rubrics done",
      "Candidates done",
      "Panel a question",
      "Waves and lanes open",
      "Ready open",
    ]);
  });

  it("keeps title and day as they are left, and takes a change back", async () => {
    const { notebook } = await aPlan("test");
    const title = screen.getByLabelText(/What it is called/);
    await userEvent.clear(title);
    await userEvent.tab();
    expect(screen.getByText("Please fill this in.")).toBeTruthy();
    expect(notebook.book.plan.opened?.title).toBe("Summer belt test");
    await userEvent.type(title, "Autumn belt test");
    await userEvent.tab();
    await settle();
    expect(notebook.book.plan.opened).toMatchObject({
      title: "Autumn belt test",
      date: "2026-06-06",
    });
    await undo();
    expect(notebook.book.plan.opened?.title).toBe("Summer belt test");
  });

  it("freezes a rubric that comes with the product, whole", async () => {
    const { notebook } = await anEmptyPlan("rubrics", []);
    await userEvent.click(
      await screen.findByRole("button", { name: "Use White to yellow belt, junior" }),
    );
    await settle();
    expect(notebook.book.plan.rubrics.map(({ id }) => id)).toEqual(["white-to-yellow-junior"]);
    expect(notebook.book.plan.rubrics[0]?.sections.length).toBeGreaterThan(3);
    expect(screen.queryByRole("button", { name: /Use White to yellow belt, junior/ })).toBeNull();
  });

  it("explains a faulty rubric file by its path and takes nothing; takes a sound one by a key", async () => {
    const { notebook } = await anEmptyPlan("rubrics", []);
    const choose = screen.getByLabelText("Choose the file");
    await userEvent.upload(choose, aFile("{", "half.json"));
    expect((await screen.findByRole("alert")).textContent).toMatch(/half.json is not JSON/);
    const faulty = JSON.stringify({ ...aRubric(), sections: [] });
    await userEvent.upload(choose, aFile(faulty, "faulty.json"));
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toMatch(/faulty.json cannot be used yet/),
    );
    expect(screen.getByText("sections").tagName).toBe("CODE");
    expect(notebook.book.plan.rubrics).toEqual([]);
    await userEvent.upload(choose, aFile(JSON.stringify(aRubric()), "ours.json"));
    await userEvent.click(
      await screen.findByRole("button", { name: "Use White to yellow, junior" }),
    );
    await settle();
    expect(notebook.book.plan.rubrics.map(({ title }) => title)).toEqual([
      "White to yellow, junior",
    ]);
  });

  it("enters a candidate by hand, with the name beside the entry and not in it", async () => {
    const { notebook } = await anEmptyPlan("candidates");
    await userEvent.click(screen.getByRole("button", { name: "Add" }));
    expect(screen.getByText("Please fill this in.")).toBeTruthy();
    await userEvent.type(screen.getByLabelText(/Given name/), "Anya");
    await userEvent.type(screen.getByLabelText(/Family name/), "Example");
    await userEvent.type(screen.getByLabelText(/Year of birth/), "2015{Enter}");
    await settle();
    const [entrant] = notebook.book.plan.entrants;
    expect(entrant).toMatchObject({ number: 1, rubric: "white-to-yellow-junior" });
    expect(candidateDetails(notebook, entrant?.candidate as CandidateId)).toEqual({
      given: "Anya",
      family: "Example",
      birthYear: 2015,
    });
    expect(JSON.stringify([...notebook.book.entries()])).not.toMatch(/Anya|Example/);
    // The next one has the next number, and the cursor is on the name.
    expect(screen.getByLabelText<HTMLInputElement>(/Number/).value).toBe("2");
    expect(document.activeElement).toBe(screen.getByLabelText(/Given name/));

    await userEvent.click(screen.getByRole("button", { name: "1 Anya is not coming" }));
    await settle();
    expect(notebook.book.floor.presence(entrant?.candidate as CandidateId)).toBe("absent");
    await undo();
    expect(notebook.book.floor.presence(entrant?.candidate as CandidateId)).toBe("expected");
  });

  it("names every wrong line of a list and takes none; takes a good list by a key, whole", async () => {
    const { notebook } = await anEmptyPlan("candidates");
    const choose = screen.getByLabelText("Choose the CSV file");
    const head = "number,given,family,rubric,birth-year,sounds\n";
    await userEvent.upload(
      choose,
      aFile(`${head}1,Anya,,white-to-yellow-junior,,\n1,Ben,,brown,,\n`, "list.csv"),
    );
    expect((await screen.findByRole("alert")).textContent).toMatch(/list.csv: 2 places are wrong/);
    expect(screen.getByText("line 3, number").nextSibling?.textContent).toBe(
      "Number 1 stands in line 2 already.",
    );
    expect(screen.getByText("line 3, rubric").nextSibling?.textContent).toMatch(/brown/);
    await userEvent.upload(choose, aFile(JSON.stringify(aRubric(), null, 1), "rubric.csv"));
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toMatch(/rubric.csv is JSON, and no list/),
    );
    const wrong = Array.from({ length: 90 }, (_, at) => `${at + 1},,,brown,,\n`).join("");
    await userEvent.upload(choose, aFile(`${head}${wrong}`, "all.csv"));
    expect(await screen.findByText("140 more")).toBeTruthy();
    expect(notebook.book.plan.entrants).toEqual([]);

    await userEvent.upload(
      choose,
      aFile(
        `${head}7,"Anya, the elder",,white-to-yellow-junior,,\n3,Ben,,white-to-yellow-junior,2014,\n`,
        "good.csv",
      ),
    );
    const take = await screen.findByRole("button", { name: "Take all 2 candidates" });
    expect(notebook.book.plan.entrants).toEqual([]);
    await userEvent.click(take);
    await settle();
    expect(notebook.book.plan.entrants.map(({ number }) => number)).toEqual([3, 7]);
    await undo();
    expect(
      notebook.book.plan.entrants.map(({ candidate }) => notebook.book.floor.presence(candidate)),
    ).toEqual(["absent", "absent"]);
  });

  it("seats a judge by name, and takes one out of every lane when out of the panel", async () => {
    const { notebook } = await aPlan("panel");
    await userEvent.type(screen.getByLabelText("Name"), "Ines Halvorsen{Enter}");
    await settle();
    const ines = notebook.book.plan.seats.find(({ details }) => details);
    expect(ines?.roles).toEqual(["judge"]);
    const person = ines?.person as PersonId;
    await notebook.write("assigned", {
      judge: person,
      section: blocks,
      wave: 1,
      candidates: [one],
    });
    await settle();
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual([person]);
    await userEvent.click(screen.getByRole("button", { name: "Take Ines Halvorsen out" }));
    await settle();
    expect(notebook.book.plan.seat(person)?.roles).toEqual([]);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual([]);
    await undo();
    expect(notebook.book.plan.seat(person)?.roles).toEqual(["judge"]);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual([person]);
  });

  it("[Y214] whoever is taken out is out at the door too, and in again when that is taken back; where the hub is away it says so", async () => {
    const dora = { device: "doras-tablet" as DeviceId, name: "Dora", wants: "caller" as const };
    const isIn = { ...dora, state: "admitted" as const, person: "dora" as PersonId };
    const given: (readonly string[])[] = [];
    let isAway = false;
    const away = { ok: false, fault: { code: "HUB_UNREACHABLE" } } as const;
    const { chief, plan } = aTestDay();
    const seated = chief.write("seated", { person: isIn.person, roles: ["caller"] });
    const session = await aSession("chief", ["chief"], [...plan, seated], {
      token: "of-the-chief",
      hub: {
        devices: async () =>
          isAway ? away : { ok: true, devices: [{ ...isIn, roles: ["caller"] }] },
        admit: async (_, __, device, { person, roles }) => {
          given.push([device, person, ...roles]);
          return { ok: true, state: "admitted", person };
        },
      },
    });
    session.show(<SetUpScreen />, at("panel"));
    const isHere = (unsent: number) => {
      const its = { device: dora.device, person: isIn.person, roles: ["caller" as const] };
      const presence = [{ ...its, online: true, lastSeenAtMs: 0, unsent }];
      return act(async () => session.notebook.heardNews({ presence }));
    };
    await isHere(0);
    const takeOut = () =>
      within(screen.getByRole("heading", { name: "Caller" }).parentElement as HTMLElement);
    await userEvent.click(takeOut().getByRole("button", { name: "Take Somebody out" }));
    await settle();
    expect(given).toEqual([["doras-tablet", "dora"]]);
    expect(screen.getByText("Somebody is taken out.")).toBeTruthy();
    await undo();
    expect(given.at(-1)).toEqual(["doras-tablet", "dora", "caller"]);
    // What waits on that tablet is not to be lost.
    await isHere(1);
    await userEvent.click(takeOut().getByRole("button", { name: "Take Somebody out" }));
    await settle();
    expect(given).toHaveLength(2);
    expect(
      screen.getByText(/taken out\. A tablet of Somebody is away, or holds something/),
    ).toBeTruthy();
    await undo();
    expect(given.at(-1)).toEqual(["doras-tablet", "dora", "caller"]);
    // What she is to do as well, she can do at once.
    await giveRoles(session.services, session.notebook, isIn.person, ["judge"]);
    expect(given.at(-1)).toEqual(["doras-tablet", "dora", "caller", "judge"]);
    await isHere(0);
    isAway = true;
    await userEvent.click(takeOut().getByRole("button", { name: "Take Somebody out" }));
    await settle();
    expect(screen.getByText(/taken out\. A tablet of Somebody is away, .*See “Door”/)).toBeTruthy();
  });

  /** Everybody has locked the blocks, which are open; nothing else is. In waves, as the screens plan them. */
  async function underWay(
    step: string,
    locks: NonNullable<Parameters<typeof aMarkedDay>[0]>["locks"] = (_, section) =>
      section === blocks,
  ) {
    const day = aTestDay();
    for (const entry of day.plan)
      if (entry.kind === "assigned") Object.assign(entry.body, { wave: 1 });
    const { entries } = aMarkedDay({ day, locks });
    const session = await aSession("chief", ["chief"], entries);
    session.show(<SetUpScreen />, at(step));
    const before = new Set(entries.map(({ id }) => id));
    /** What the hub would say of everything that was written since. */
    const faults = () => {
      const book = fold(entries);
      const writer = { person: "chief" as PersonId, roles: ["chief"] as const };
      return [...session.notebook.book.entries()].flatMap((entry) => {
        if (before.has(entry.id)) return [];
        const fault = refusal(book, writer, entry);
        book.add(entry);
        return fault ?? [];
      });
    };
    return { ...session, faults };
  }
  const ofJudge = (notebook: ASession["notebook"], judge: string, section: SectionId) =>
    notebook.book.panel.judgesOf(one, section).includes(judge as PersonId);

  it("[S151] asks who takes the places of a judge who marks, and gives them to somebody new", async () => {
    const { notebook, faults } = await underWay("panel");
    const [first] = screen.getAllByRole("button", { name: /Take Somebody out/ });
    await userEvent.click(first as HTMLElement);
    await settle();
    expect(notebook.book.plan.seat("judge-1" as PersonId)?.roles).toEqual(["judge"]);
    await userEvent.click(screen.getByRole("button", { name: "Give the place" }));
    expect(screen.getByText("Please fill this in.")).toBeTruthy();
    await userEvent.type(screen.getByLabelText("Name of the new judge"), "Ines Halvorsen");
    await userEvent.click(screen.getByRole("button", { name: "Give the place" }));
    // The last thing that is written of it.
    await waitFor(() => expect(notebook.book.plan.seat("judge-1" as PersonId)?.roles).toEqual([]));
    const ines = notebook.book.plan.seats.find(({ details }) => details)?.person as PersonId;
    expect(notebook.book.panel.successor("judge-1" as PersonId)).toBe(ines);
    expect(ofJudge(notebook, ines, "etiquette" as SectionId)).toBe(true);
    expect(ofJudge(notebook, "judge-1", "etiquette" as SectionId)).toBe(false);
    expect(faults()).toEqual([]);
  });

  it("[S150] takes a judge out, seats another and hangs that one on the lanes, without a line that the hub refuses", async () => {
    const { notebook, faults } = await underWay("panel");
    const [first] = screen.getAllByRole("button", { name: /Take Somebody out/ });
    await userEvent.click(first as HTMLElement);
    await userEvent.click(screen.getByRole("button", { name: "Nobody takes it" }));
    await settle();
    expect(ofJudge(notebook, "judge-1", "etiquette" as SectionId)).toBe(false);
    expect(ofJudge(notebook, "judge-1", blocks)).toBe(true);
    await userEvent.type(screen.getByLabelText("Name"), "Ines Halvorsen{Enter}");
    await settle();
    await userEvent.click(screen.getByRole("link", { name: "Next: Waves and lanes" }));
    for (const lane of screen.getAllByRole("button", { name: /^Ines Halvorsen watches/ }))
      await userEvent.click(lane);
    await settle();
    const ines = notebook.book.plan.seats.find(({ details }) => details)?.person as PersonId;
    expect(ofJudge(notebook, ines, "etiquette" as SectionId)).toBe(true);
    expect(ofJudge(notebook, ines, blocks)).toBe(false);
    expect(faults()).toEqual([]);
    await undo();
    expect(faults()).toEqual([]);
  });

  // By a new seat of the same name the judge's tablet belonged to nobody, and was stranded.
  it("[S275] seats somebody again who was taken out, as the same person", async () => {
    const { notebook, faults } = await underWay("panel");
    const person = "judge-1" as PersonId;
    await userEvent.click(
      screen.getAllByRole("button", { name: /Take Somebody out/ })[0] as HTMLElement,
    );
    await userEvent.click(screen.getByRole("button", { name: "Nobody takes it" }));
    await settle();
    expect(notebook.book.plan.seat(person)?.roles).toEqual([]);
    await userEvent.click(screen.getByRole("button", { name: /^Seat Somebody again/ }));
    await settle();
    expect(notebook.book.plan.seat(person)?.roles).toEqual(["judge"]);
    expect(screen.queryByRole("button", { name: /^Seat Somebody again/ })).toBeNull();
    expect(faults()).toEqual([]);
  });

  // A stranger's hub refused the lines, and took the judge's role: every child of the wave waited for nobody.
  it("[S270] takes a judge out, and leaves them the child whose marks wait for them alone: the chief opens those with a reason", async () => {
    const etiquette = "etiquette" as SectionId;
    const { notebook, faults } = await underWay(
      "panel",
      (judge, section, candidate) =>
        section === blocks || (section === etiquette && candidate === one && judge !== "judge-1"),
    );
    const [first] = screen.getAllByRole("button", { name: /Take Somebody out/ });
    await userEvent.click(first as HTMLElement);
    await userEvent.click(screen.getByRole("button", { name: "Nobody takes it" }));
    await settle();
    expect(faults()).toEqual([]);
    expect(notebook.book.plan.seat("judge-1" as PersonId)?.roles).toEqual([]);
    expect(notebook.book.panel.judgesOf(one, etiquette)).toContain("judge-1");
    expect(notebook.book.panel.judgesOf(two, etiquette)).not.toContain("judge-1");
  });

  it("[S150] takes back what was done before marks were opened, as far as the hub takes it", async () => {
    const { notebook, faults } = await underWay("waves");
    await userEvent.click(screen.getByRole("button", { name: "Suggest anew" }));
    await userEvent.click(
      within(screen.getByRole("dialog")).getByRole("button", { name: "Suggest" }),
    );
    await settle();
    await undo();
    expect(faults()).toEqual([]);
    expect(ofJudge(notebook, "judge-2", blocks)).toBe(true);
  });

  it("makes the chief a judge too, on this device at once", async () => {
    const { notebook, services } = await aPlan("panel");
    await userEvent.click(screen.getByRole("button", { name: /judges too/ }));
    await settle();
    expect(notebook.book.plan.seat("chief" as PersonId)?.roles).toEqual(["chief", "judge"]);
    expect(notebook.pass.roles).toEqual(["chief", "judge"]);
    expect((await services.store.pass(aGradingId))?.roles).toEqual(["chief", "judge"]);
  });

  it("suggests waves and who watches whom for an empty floor, and takes all of it back at once", async () => {
    const day = aTestDay({ candidates: 7 });
    const { notebook } = await aPlan("waves", {
      ...day,
      plan: day.plan.filter(({ kind }) => kind !== "lined-up"),
    });
    expect(screen.getByRole("heading", { name: "In no wave yet" })).toBeTruthy();
    await userEvent.click(
      screen.getByRole("button", { name: "Suggest waves and who watches whom" }),
    );
    await settle();
    expect(notebook.book.plan.waves.flatMap(({ lanes }) => lanes)).toEqual(day.candidates);
    for (const candidate of day.candidates)
      expect(notebook.book.panel.judgesOf(candidate, blocks).length).toBeGreaterThanOrEqual(2);
    await undo();
    expect(notebook.book.plan.waves.flatMap(({ lanes }) => lanes)).toEqual([]);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual([]);
  });

  it("hangs a judge on a lane in all sections or in one, and says which lane nobody watches", async () => {
    const { notebook } = await aPlan("waves");
    expect(screen.getByText("Nobody watches lane 2 of wave 1, 2.")).toBeTruthy();
    const bead = () => screen.getAllByRole("button", { name: /watches 2$/ })[0] as HTMLElement;
    await userEvent.click(bead());
    await settle();
    expect(bead().getAttribute("aria-pressed")).toBe("true");
    expect(notebook.book.panel.judgesOf(two, blocks)).toEqual(["judge-1"]);
    expect(notebook.book.panel.judgesOf(two, "etiquette" as SectionId)).toEqual(["judge-1"]);
    expect(screen.queryByText("Nobody watches lane 2 of wave 1, 2.")).toBeNull();

    await userEvent.selectOptions(screen.getByRole("combobox", { name: "In" }), "Blocks");
    await userEvent.click(bead());
    await settle();
    expect(notebook.book.panel.judgesOf(two, blocks)).toEqual([]);
    expect(notebook.book.panel.judgesOf(two, "etiquette" as SectionId)).toEqual(["judge-1"]);
    expect(screen.getByText("Nobody watches lane 2 of wave 1, 2, in Blocks.")).toBeTruthy();
    await userEvent.selectOptions(screen.getByRole("combobox", { name: "In" }), "all sections");
    expect(bead().getAttribute("aria-pressed")).toBe("mixed");
    await undo();
    expect(notebook.book.panel.judgesOf(two, blocks)).toEqual(["judge-1"]);
  });

  it("moves a lane by its key, by the keyboard too, and a candidate to a wave with nobody watching", async () => {
    const { notebook } = await aPlan("waves");
    await userEvent.click(screen.getAllByRole("button", { name: /watches 1$/ })[0] as HTMLElement);
    await settle();
    screen.getByRole("button", { name: "Move 1 one lane to the right" }).focus();
    await userEvent.keyboard("{Enter}");
    await settle();
    expect(notebook.book.plan.lanes(1)).toEqual([two, one, "candidate-3"]);
    expect(
      screen.getByRole<HTMLButtonElement>("button", { name: "Move 2 one lane to the left" })
        .disabled,
    ).toBe(true);

    await userEvent.selectOptions(
      screen.getByRole("combobox", { name: "Move 1 to another wave" }),
      "New wave",
    );
    await settle();
    expect(notebook.book.plan.lanes(1)).toEqual([two, "candidate-3"]);
    expect(notebook.book.plan.lanes(2)).toEqual([one]);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual([]);
    await undo();
    expect(notebook.book.plan.lanes(1)).toEqual([two, one, "candidate-3"]);
    expect(notebook.book.plan.lanes(2)).toEqual([]);
    expect(notebook.book.panel.judgesOf(one, blocks)).toEqual(["judge-1"]);
  });

  it("asks before it lays a suggestion over a plan", async () => {
    const { notebook } = await aPlan("waves");
    const before = notebook.book.size;
    await userEvent.click(screen.getByRole("button", { name: "Suggest anew" }));
    await userEvent.click(screen.getByRole("button", { name: "Keep mine" }));
    expect(notebook.book.size).toBe(before);
  });

  it("lists what is missing with a way to mend it, and opens a test with gaps only when told twice", async () => {
    const { notebook } = await aPlan("ready");
    const mend = screen.getByRole("link", {
      name: "Mend in Waves and lanes: Nobody watches lane 1 of wave 1, 1.",
    });
    expect(mend.getAttribute("href")).toContain("step=waves");
    await userEvent.click(screen.getByRole("button", { name: "Open the test" }));
    expect(notebook.book.plan.isStarted).toBe(false);
    await userEvent.click(screen.getByRole("button", { name: "Open it all the same" }));
    await settle();
    expect(await screen.findByText("The test is open.")).toBeTruthy();
    expect(notebook.book.plan.isStarted).toBe(true);
    // The words of its sheets are fixed with it.
    expect(notebook.book.plan.library?.practice.length).toBeGreaterThan(0);
  });

  it("lets a candidate be dragged to another lane and another wave, takes it back, and heeds neither a tap nor Escape", async () => {
    const { notebook } = await aPlan("waves");
    const [one, two, three] = notebook.book.plan.lanes(1) as [
      CandidateId,
      CandidateId,
      CandidateId,
    ];
    // A lane is 100 px wide; what lies under the finger is said by the test, for jsdom lays nothing out.
    const over = { lane: 0 };
    const heads = () => [...document.querySelectorAll<HTMLElement>("th[data-lane]")];
    document.elementFromPoint = () => heads()[over.lane] ?? null;
    vi.spyOn(HTMLElement.prototype, "getBoundingClientRect").mockImplementation(
      () => ({ left: 0, width: 100 }) as DOMRect,
    );
    const pointer = { pointerId: 1, isPrimary: true, button: 0 };
    const grip = (index: number) =>
      heads()[index]?.querySelector(`.${css.laneGrip}`) as HTMLElement;
    const drag = (from: number, to: number, clientX: number) => {
      over.lane = to;
      const held = grip(from);
      fireEvent.pointerDown(held, { ...pointer, clientX: 50, clientY: 10 });
      fireEvent.pointerMove(held, { ...pointer, clientX, clientY: 10 });
      return () => fireEvent.pointerUp(held, { ...pointer, clientX, clientY: 10 });
    };
    const drop = drag(0, 2, 80);
    expect(heads()[2]?.dataset.drop).toBe("right");
    drop();
    await settle();
    expect(notebook.book.plan.lanes(1)).toEqual([two, three, one]);
    expect(screen.getByText(/stands in lane 3/)).toBeTruthy();
    await undo();
    expect(notebook.book.plan.lanes(1)).toEqual([one, two, three]);

    drag(0, 2, 52)();
    await settle();
    expect(notebook.book.plan.lanes(1)).toEqual([one, two, three]);
    const late = drag(0, 2, 80);
    await userEvent.keyboard("{Escape}");
    late();
    await settle();
    expect(notebook.book.plan.lanes(1)).toEqual([one, two, three]);

    await act(async () => void (await notebook.write("lined-up", { wave: 2, lanes: [three] })));
    await act(async () => void (await notebook.write("lined-up", { wave: 1, lanes: [one, two] })));
    drag(0, 2, 20)();
    await settle();
    expect(notebook.book.plan.lanes(1)).toEqual([two]);
    expect(notebook.book.plan.lanes(2)).toEqual([one, three]);
    await undo();
    expect(notebook.book.plan.lanes(1)).toEqual([one, two]);
    expect(notebook.book.plan.lanes(2)).toEqual([three]);
    vi.restoreAllMocks();
  });

  it("replaces a rubric under way only after saying what it changes, and with a reason", async () => {
    const { entries } = aMarkedDay();
    const mine = await aSession("chief", ["chief"], entries);
    mine.show(<SetUpScreen />, at("rubrics"));
    const [first, ...rest] = aRubric().sections;
    const sections = [{ ...first, items: first?.items.slice(0, 1) ?? [] } as typeof first, ...rest];
    const offer = async (rubric: object) => {
      await userEvent.upload(
        await screen.findByLabelText("Choose the file"),
        aFile(JSON.stringify(rubric), "newer.json"),
      );
      await userEvent.click(await screen.findByRole("button", { name: "Use Ours" }));
      return within(await screen.findByRole("dialog"));
    };
    let dialog = await offer(aRubric({ title: "Ours" }));
    expect(dialog.getByRole("alert").textContent).toMatch(/Raise “version”/);
    expect(dialog.queryByRole("button", { name: "Replace it" })).toBeNull();
    await userEvent.click(dialog.getByRole("button", { name: "Close" }));

    dialog = await offer(aRubric({ title: "Ours", version: 2, sections: sections as never }));
    expect(dialog.getByText("3 candidates are tested by it.")).toBeTruthy();
    expect(dialog.getByText("18 marks lose their place and count no more:")).toBeTruthy();
    expect(dialog.getByText("Blocks: Low block (Chamber and Target): 18 marks")).toBeTruthy();
    await userEvent.click(dialog.getByRole("button", { name: "Replace it" }));
    expect(mine.notebook.book.plan.rubric(aRubric().id)?.version).toBe(1);
    await userEvent.type(
      dialog.getByLabelText(/Why it is replaced/),
      "The low block was not taught.",
    );
    await userEvent.click(dialog.getByRole("button", { name: "Replace it" }));
    await settle();
    expect(mine.notebook.book.plan.rubric(aRubric().id)?.version).toBe(2);
    const entry = [...mine.notebook.book.entries()].find(({ kind }) => kind === "rubric-replaced");
    expect(JSON.stringify(entry)).not.toContain("not taught");
    expect(screen.queryByRole("dialog")).toBeNull();
  });

  it("[S219] asks why a child gets another rubric once the test is under way, and only then", async () => {
    const day = aTestDay();
    const other = { ...aRubric(), id: "other" as RubricId, title: "Another rank" };
    const frozen = day.chief.write("frozen", { rubric: other });
    const { mine, form } = await correctingTheFirst([...day.plan, frozen]);
    expect(form.queryByLabelText(/Why another rubric/)).toBeNull();
    await userEvent.selectOptions(form.getByLabelText(/Tested by/), "Another rank");
    await userEvent.click(form.getByRole("button", { name: "Keep the correction" }));
    expect(mine.notebook.book.plan.entrant(one)?.rubric).not.toBe(other.id);
    await userEvent.type(form.getByLabelText(/Why another rubric/), "Came with the higher belt");
    await userEvent.click(form.getByRole("button", { name: "Keep the correction" }));
    await settle();
    expect(mine.notebook.book.plan.entrant(one)?.rubric).toBe(other.id);
    const texts = [...mine.notebook.sides.values()].map(({ body }) => body.text);
    expect(texts).toContain("Came with the higher belt");
    await undo();
    const back = [...mine.notebook.book.entries()].at(-1);
    expect(back?.body).toMatchObject({ candidate: one, rubric: day.rubric.id, reason: {} });
  });

  it("[Y238] gives a marked child no rubric of another scale, and says why, also where the marks are closed", async () => {
    const day = aTestDay();
    const { scale } = day.rubric;
    const other = {
      ...aRubric({ scale: { ...scale, meetsLevel: 2 } }),
      ...{ id: "other" as RubricId, title: "Another rank" },
    };
    const frozen = day.chief.write("frozen", { rubric: other });
    const { mine, form } = await correctingTheFirst([...day.plan, frozen]);
    await userEvent.selectOptions(form.getByLabelText(/Tested by/), "Another rank");
    const why = () => form.queryByText(/marked already, and that rubric has other levels/);
    expect(why()).toBeNull();
    const work = {
      ...{ judge: "judge-1", candidate: one, section: "blocks", state: "begun", notSeen: [] },
    } as never;
    await act(async () =>
      mine.notebook.heardNews({ coverage: new Map([[coverageKey(work), work]]) }),
    );
    expect(why()).not.toBeNull();
    await userEvent.type(form.getByLabelText(/Why another rubric/), "A slip");
    await userEvent.click(form.getByRole("button", { name: "Keep the correction" }));
    await settle();
    expect(mine.notebook.book.plan.entrant(one)?.rubric).toBe(day.rubric.id);
  });

  it("[Y238] says which section is marked otherwise for whom, and what to do, before the test is opened", async () => {
    const day = aTestDay();
    const sections = day.rubric.sections.map((section) =>
      section.id === "blocks" ? { ...section, marking: "single" as const } : section,
    );
    const other = { ...day.rubric, id: "other" as RubricId, title: "Another rank", sections };
    const mine = await aSession(
      "chief",
      ["chief"],
      [
        ...day.plan.filter(({ kind }) => kind !== "started"),
        day.chief.write("frozen", { rubric: other }),
        day.chief.write("entered", { candidate: one, number: 1, rubric: other.id }),
      ],
    );
    mine.show(<SetUpScreen />, at("ready"));
    expect(
      screen.getByText(/In wave 1 the section Blocks is marked in another way for 2.*another wave/),
    ).toBeTruthy();
  });

  it("[V133] says of a child with a verdict who gets another rubric that the verdict is to be looked at again", async () => {
    const day = aTestDay();
    const other = { ...aRubric(), id: "other" as RubricId, title: "Another rank" };
    const plan = [...day.plan, day.chief.write("frozen", { rubric: other })];
    const verdict = day.chief.write("verdict", {
      ...{ candidate: one, result: "pass", retestSections: [], computed: "incomplete" },
      ...{ basis: fold(plan).basis, reason: { id: "side-1", digest: "d".repeat(64) } },
    } as never);
    const { mine, form } = await correctingTheFirst([...plan, verdict]);
    await userEvent.selectOptions(form.getByLabelText(/Tested by/), "Another rank");
    await userEvent.type(form.getByLabelText(/Why another rubric/), "A slip");
    await userEvent.click(form.getByRole("button", { name: "Keep the correction" }));
    await settle();
    expect(verdictDoubt(mine.notebook.book, one)).toBe("other-rubric");
    expect(screen.getByText(/issued by the other rubric: look at it again/)).toBeTruthy();
    await undo();
    expect(verdictDoubt(mine.notebook.book, one)).toBeUndefined();
  });

  it("[Y235] excuses the too young as they are entered, and says why beside it", async () => {
    const rubric = aRubric();
    const [first, ...rest] = rubric.sections;
    const gated = {
      ...rubric,
      sections: [
        {
          ...(first as (typeof rubric.sections)[number]),
          items: (first?.items ?? []).map((item) =>
            item.id === "low-block" ? { ...item, minimumAge: 12 } : item,
          ),
        },
        ...rest,
      ],
    };
    const { notebook } = await anEmptyPlan("candidates", [gated]);
    await userEvent.type(screen.getByLabelText(/Given name/), "Anya");
    await userEvent.type(screen.getByLabelText(/Year of birth/), "2016{Enter}");
    await settle();
    await userEvent.type(screen.getByLabelText(/Given name/), "Ben");
    await userEvent.type(screen.getByLabelText(/Year of birth/), "2010{Enter}");
    await settle();
    const [anya, ben] = notebook.book.plan.entrants.map(({ candidate }) => candidate);
    expect(notebook.book.plan.excuse(anya as CandidateId, anId("low-block"))).toBeDefined();
    await userEvent.click(
      within(screen.getByRole("navigation", { name: "Steps of the plan" })).getByRole("link", {
        name: /^Ready/,
      }),
    );
    await userEvent.click(screen.getByRole("button", { name: "Open the test" }));
    await userEvent.click(screen.getByRole("button", { name: "Open it all the same" }));
    await waitFor(() => expect(notebook.book.plan.isStarted).toBe(true));
    const { reason, why } = notebook.book.plan.excuse(anya as CandidateId, anId("low-block")) ?? {};
    expect(why).toBeUndefined();
    expect(reason && notebook.sides.get(reason.id)).toMatchObject({
      about: anya,
      kind: "text",
      body: { text: "age" },
    });
    expect(notebook.book.plan.excuse(ben as CandidateId, anId("low-block"))).toBeUndefined();
  });

  it("says what a change means once the test is under way", async () => {
    const { plan } = aTestDay();
    const { show } = await aSession("chief", ["chief"], plan);
    show(<SetUpScreen />, at("waves"));
    expect(screen.getByText(/Every change goes to all tablets at once/)).toBeTruthy();
    expect(screen.getByText(/taken off a candidate is asked for nothing more/)).toBeTruthy();
    // Watches that name no wave cannot be taken off here, and say so.
    const bead = screen.getAllByRole("button", { name: /watches 1$/ })[0] as HTMLElement;
    expect(bead.getAttribute("aria-disabled")).toBe("true");
  });

  // A stranger's chief gave a judge's places to the co-judge: both stood on every lane, and no tap gave them back.
  it("[Y222] shows a watch with whoever has the place, and gives it back", async () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = ["judge-1", "judge-2"] as PersonId[];
    const plan = day.plan.map((line) =>
      line.kind === "assigned" ? { ...line, body: { ...line.body, wave: 1 } } : line,
    ) as AnyEntry[];
    const gives = day.chief.write("judge-replaced", {
      judge: first as PersonId,
      by: second as PersonId,
      places: [first as PersonId],
    });
    const { notebook, show } = await aSession("chief", ["chief"], [...plan, gives] as AnyEntry[]);
    show(<SetUpScreen />, at("waves"));
    const beads = () =>
      screen
        .getAllByRole("button", { name: /watches 1$/ })
        .map((bead) => bead.getAttribute("aria-pressed"));
    expect(beads()).toEqual(["false", "true"]);
    expect(screen.getByText(/has this place/)).toBeTruthy();
    const judges = () => notebook.book.panel.judgesOf(one, blocks);
    // A tap there would watch for the other.
    await userEvent.click(screen.getAllByRole("button", { name: /watches 1$/ })[0] as HTMLElement);
    await settle();
    expect(judges()).toEqual([second]);
    // Whoever is taken off is off, in whatever place they watched.
    await userEvent.click(screen.getAllByRole("button", { name: /watches 1$/ })[1] as HTMLElement);
    await settle();
    expect(judges()).toEqual([]);
    await undo();
    expect(judges()).toEqual([second]);
    await userEvent.click(screen.getByRole("button", { name: /^Give the places back/ }));
    await settle();
    expect(judges()).toEqual([first, second]);
    expect(beads()).toEqual(["true", "true"]);
    expect(screen.queryByText(/has this place/)).toBeNull();
  });

  it.each(["on the road", "in a hub, which alone has the lock"])(
    "[Y201] takes nobody off by a tap whom the marks wait for alone, and says how they are opened: %s",
    async (where) => {
      const day = aTestDay({ judges: 2, candidates: 1 });
      const plan = day.plan.map((line) =>
        line.kind === "assigned" ? { ...line, body: { ...line.body, wave: 1 } } : line,
      ) as AnyEntry[];
      const [first, second] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
      const mia = "candidate-1" as CandidateId;
      const locked = aLock(first, "blocks" as SectionId, [mia], plan);
      const isOnRoad = where === "on the road";
      const held = isOnRoad ? [...plan, ...locked] : plan;
      const { notebook, show } = await aSession("chief", ["chief"], held);
      show(<SetUpScreen />, at("waves"));
      const work = {
        judge: first.person,
        candidate: mia,
        section: "blocks" as SectionId,
        state: "locked" as const,
        notSeen: [],
      };
      if (!isOnRoad)
        act(() => notebook.heardNews({ coverage: new Map([[coverageKey(work), work]]) }));
      const judgesOf = (section: string) => notebook.book.panel.judgesOf(mia, section as SectionId);
      const [, bead] = screen.getAllByRole("button", { name: /watches 1$/ });
      await userEvent.click(bead as HTMLElement);
      await screen.findByText(/stays with 1 in Blocks: all others are done there/);
      expect(judgesOf("blocks")).toEqual([first.person, second.person].sort());
      expect(notebook.book.openings.isRevealed(mia, "blocks" as SectionId)).toBe(false);
      // Where nobody has locked the tap does what it says, and so does its undo.
      expect(judgesOf("etiquette")).toEqual([first.person]);
      await userEvent.click(screen.getByRole("button", { name: "Undo" }));
      await waitFor(() =>
        expect(judgesOf("etiquette")).toEqual([first.person, second.person].sort()),
      );
      expect(notebook.book.openings.isRevealed(mia, "blocks" as SectionId)).toBe(false);
    },
  );

  it("shows what a scorebook that came back would bring, takes only its own person's lines, and keeps them", async () => {
    const { day, session, judge, other } = await whereFilesComeBack();
    const { notebook, services } = session;
    const mine = [aMark(judge.pen), aMark(judge.pen, { criterion: "target", level: 2 })];
    const stranger = aMark(judge.pen, { candidate: "nobody-here" });
    const file = (person: string) =>
      JSON.stringify(
        scorebookFile(
          aGradingId,
          [...day.plan, ...mine, stranger, aMark(other.pen)],
          [],
          person as PersonId,
        ),
      );
    const choose = screen.getByLabelText("Open scorebook files");
    await userEvent.upload(choose, aFile('{"format":"evenhand-scorebook"', "cut.json"));
    expect((await screen.findByRole("alert")).textContent).toMatch(/cut.json is not a scorebook/);
    await userEvent.upload(choose, aFile(file("judge-9"), "whose.json"));
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toMatch(/does not say whose it is/),
    );

    // Whoever holds the pack could write it, and a chief may do more than mark.
    await userEvent.upload(choose, aFile(file("chief"), "as-chief.json"));
    await screen.findByText(/as-chief\.json says that it comes from a chief/);
    await userEvent.upload(choose, aFile(file("judge-1"), "ines.json"));
    const preview = await screen.findByText(/2 new lines\..*2 lines are refused/);
    expect(preview.textContent).toMatch(/not entered/);
    expect(preview.textContent).toMatch(/in another person's name/);
    expect(notebook.book.size).toBe(day.plan.length);
    await userEvent.click(screen.getByRole("button", { name: "Take 2 lines" }));
    await settle();
    expect(notebook.book.size).toBe(day.plan.length + 2);
    expect(await services.store.read(aGradingId, 0)).toHaveLength(day.plan.length + 2);
    expect(screen.getByText(/Taken from .*: 2 lines/)).toBeTruthy();
  });

  it("[S301] remembers what it did not take of a file, says so in its own, and forgets what it takes later", async () => {
    const day = aTestDay();
    const session = await aSession("chief", ["chief"], day.plan);
    const { notebook, services } = session;
    session.show(<SetUpScreen />, at("ready"));
    const [judge] = day.judges;
    if (!judge) throw new Error("no judge");
    const late = "candidate-late" as CandidateId;
    const lines = [aMark(judge.pen), aMark(judge.pen, { candidate: late })] as AnyEntry[];
    const file = JSON.stringify(
      scorebookFile(aGradingId, [...day.plan, ...lines], [], judge.person),
    );
    const choose = screen.getByLabelText("Open scorebook files");
    const passed = () => lines.map(isAmong(notebook.pass.passedOver ?? []));
    await userEvent.upload(choose, aFile(file, "judge.json"));
    await userEvent.click(await screen.findByRole("button", { name: "Take 1 line" }));
    await settle();
    expect(passed()).toEqual([false, true]);

    const saved = vi.fn<(blob: Blob) => string>(() => "blob:file");
    URL.createObjectURL = saved as typeof URL.createObjectURL;
    URL.revokeObjectURL = () => undefined;
    vi.spyOn(HTMLAnchorElement.prototype, "click").mockImplementation(() => undefined);
    const pass = await services.store.pass(aGradingId);
    if (!pass) throw new Error("no pass");
    await saveScorebook(services.store, { pass, title: "Summer belt test" });
    const [[blob] = []] = saved.mock.calls;
    const text = (await blob?.text()) ?? "";
    const read = readScorebookFile(JSON.parse(text));
    if (!read.ok) throw new Error(read.problem);
    expect(lines.map(isAmong(read.file.passedOver ?? []))).toEqual([false, true]);
    const { passedOver: _, ...without } = JSON.parse(text);
    expect(heldInFile(without)).not.toBe(heldInFile(JSON.parse(text)));

    await notebook.write("entered", { candidate: late, number: 9, rubric: day.rubric.id });
    await notebook.write("lined-up", { wave: 2, lanes: [late] });
    for (const section of day.rubric.sections.map(({ id }) => id))
      await notebook.write("assigned", {
        judge: judge.person,
        section,
        candidates: [late],
        wave: 2,
      });
    await userEvent.upload(choose, aFile(file, "judge.json"));
    await userEvent.click(await screen.findByRole("button", { name: "Take 1 line" }));
    await settle();
    expect(passed()).toEqual([false, false]);
    expect(notebook.pass.passedOver).toBeUndefined();
  });

  it("[S301] remembers also what was refused of a file that brings nothing else", async () => {
    const { day, session, judge } = await whereFilesComeBack();
    const line = aMark(judge.pen, { candidate: "candidate-late" as CandidateId }) as AnyEntry;
    const file = JSON.stringify(scorebookFile(aGradingId, [...day.plan, line], [], judge.person));
    await userEvent.upload(screen.getByLabelText("Open scorebook files"), aFile(file, "j.json"));
    await userEvent.click(await screen.findByRole("button", { name: "Leave this file out" }));
    await settle();
    expect(isAmong(session.notebook.pass.passedOver ?? [])(line)).toBe(true);
    expect(screen.queryByText(/Nothing new in it/)).toBeNull();
  });

  it("[Y233] takes nothing of a file that no hub would take, and says where it is wrong and what to do", async () => {
    const { day, judge } = await whereFilesComeBack();
    const mark = aMark(judge.pen) as AnyEntry;
    const lines = [...day.plan, mark, { ...mark, at: 1 }] as AnyEntry[];
    const file = scorebookFile(aGradingId, lines, [], judge.person);
    const choose = screen.getByLabelText("Open scorebook files");
    await userEvent.upload(choose, aFile(JSON.stringify(file), "judge.json"));
    const { textContent } = await screen.findByRole("alert");
    expect(textContent).toMatch(/judge\.json is not as a tablet saves it \(entries\[\d+\]\.id\)/);
    expect(textContent).toMatch(/saved anew on its tablet/);
    expect(screen.queryByRole("button", { name: /^Take/ })).toBeNull();
  });

  it("[Y231] takes neither of two files in which two people wrote on one tablet, until one is left out; with a hub on the line it takes none", async () => {
    const { day, session, judge, other: liar } = await whereFilesComeBack();
    const { notebook } = session;
    const marks = [aMark(judge.pen), aMark(judge.pen, { criterion: "target", level: 2 })];
    const lies = marks.map((mark) => ({ ...mark, by: liar.person, id: anEntryId() })) as AnyEntry[];
    const file = ({ person }: typeof judge, lines: AnyEntry[], name: string) =>
      aFile(JSON.stringify(scorebookFile(aGradingId, [...day.plan, ...lines], [], person)), name);
    const choose = screen.getByLabelText("Open scorebook files");
    await userEvent.upload(choose, [
      file(liar, [aMark(liar.pen), ...lies], "of-a-liar.json"),
      file(judge, marks, "of-a-judge.json"),
    ]);
    await waitFor(() =>
      expect(screen.getAllByText(/two people wrote on one tablet/)).toHaveLength(2),
    );
    expect(screen.queryByRole("button", { name: /^Take/ })).toBeNull();
    await userEvent.click(
      screen.getAllByRole("button", { name: "Leave this file out" })[0] as HTMLElement,
    );
    await userEvent.click(screen.getByRole("button", { name: "Take 2 lines" }));
    await settle();
    expect(marks.every(({ id }) => notebook.book.entry(id))).toBe(true);

    // What stands on this device alone no report of the hub says.
    const hub = await aSession("chief", ["chief"], day.plan, { token: "token-1" });
    hub.show(<SetUpScreen />, at("ready"));
    await screen.findByText(/The hub is away\. What you take here/);
    act(() => hub.notebook.linkIs("live"));
    await screen.findByText(/This test has a hub: a scorebook file/);
    expect(screen.queryByText(/The hub is away\. What you take here/)).toBeNull();
  });

  it("saves a test pack with the plan and without family names", async () => {
    const { notebook } = await anEmptyPlan("candidates");
    const saved = vi.fn<(blob: Blob) => string>(() => "blob:file");
    URL.createObjectURL = saved as typeof URL.createObjectURL;
    URL.revokeObjectURL = () => undefined;
    vi.spyOn(HTMLAnchorElement.prototype, "click").mockImplementation(() => undefined);
    await userEvent.type(screen.getByLabelText(/Given name/), "Anya");
    await userEvent.type(screen.getByLabelText(/Family name/), "Surname{Enter}");
    await settle();
    await userEvent.click(
      within(screen.getByRole("navigation", { name: "Steps of the plan" })).getByRole("link", {
        name: /^Ready/,
      }),
    );
    await userEvent.click(screen.getByRole("button", { name: "Save the test pack" }));
    const text = await new Promise<string>((resolve) => {
      const reader = new FileReader();
      reader.onload = () => resolve(String(reader.result));
      reader.readAsText(saved.mock.calls[0]?.[0] as Blob);
    });
    expect(JSON.parse(text)).toMatchObject({ format: "evenhand-test-pack", version: 2 });
    expect(JSON.parse(text).entries).toHaveLength(notebook.book.size);
    expect(text).toContain("Anya");
    expect(text).not.toContain("Surname");
    const { sum } = JSON.parse(text);
    const signs = `${sum.slice(0, 4)} ${sum.slice(4, 8)}`;
    expect(
      screen.getByText(`Saved: summer-belt-test.test-pack.json. This pack is ${signs}`, {
        exact: false,
      }),
    ).toBeTruthy();
  });

  it("of a closed test offers the board and the sheets, and nothing to open, let in or mend", async () => {
    const { plan, chief } = aTestDay();
    const mine = await aSession("chief", ["chief"], [...plan, chief.write("closed", {})]);
    mine.show(<SetUpScreen />, "/tests/grading-1/set-up?step=ready");
    expect(screen.getByText("The test is closed. The plan can be read, not changed.")).toBeTruthy();
    expect(screen.getByRole("link", { name: "To the sheets" })).toBeTruthy();
    for (const words of ["The test is open.", "Nothing is missing.", "Let tablets in", "Mend"])
      expect(screen.queryByText(words)).toBeNull();
  });

  it("names the rubrics beside the number of judges each asks for", async () => {
    const mine = await aSession("chief", ["chief"], aTestDay().plan);
    const [entry] = mine.notebook.book.plan.rubrics;
    mine.show(<SetUpScreen />, "/tests/grading-1/set-up?step=panel");
    const asks = entry?.panel.quorum === 1 ? "1 judge" : `${entry?.panel.quorum} judges`;
    expect(
      screen.getByText(
        new RegExp(`“${entry?.title}” asks for at least ${asks} on every candidate`),
      ),
    ).toBeTruthy();
  });
});
