import { act, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { JudgeScreen } from "../../../src/tablet/screens/judge/judge-screen.tsx";
import { aPen } from "../../builders/a-pen.ts";
import { type ASession, aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { settle } from "../../builders/settle.ts";

const lanes = ["candidate-1", "candidate-2", "candidate-3", "candidate-4"] as CandidateId[];
let mine: ASession;
let plan: AnyEntry[];
let caller: ReturnType<typeof aPen>;

async function call(wave: number, index: number) {
  const step = waveScript(fold(plan), wave)[index];
  if (!step) throw new Error(`no step ${index} in wave ${wave}`);
  caller.hear(mine.notebook.book.lamport);
  await act(async () => mine.notebook.take([caller.write("called", callBody(wave, step))], []));
}
const press = async (name: RegExp) => {
  await userEvent.click(await screen.findByRole("button", { name }));
  await settle();
};
const heading = () => screen.getByRole("heading", { level: 1 }).textContent;
const children = () =>
  screen
    .getAllByRole("columnheader")
    .map(({ textContent }) => /^\d+/.exec(textContent ?? "")?.[0])
    .filter((number) => number !== undefined);
/** A board that has just come takes no tap, milliseconds. */
const pastDeafness = 380;
const firstWave = ["1", "2"];
const secondWave = ["3", "4"];

beforeEach(async () => {
  const day = aTestDay({ candidates: 4 });
  plan = [
    ...day.plan,
    day.chief.write("lined-up", { wave: 1, lanes: lanes.slice(0, 2) }),
    day.chief.write("lined-up", { wave: 2, lanes: lanes.slice(2) }),
    ...lanes.map((candidate) => day.chief.write("checked-in", { candidate })),
  ];
  caller = aPen("caller");
  caller.hear(fold(plan).lamport);
  mine = await aSession("judge-1", ["judge"], plan);
  mine.notebook.linkIs("live");
  mine.show(<JudgeScreen />);
});

describe("a judge's place when the caller opens another wave", () => {
  it("[Y167] stays with the children of the earlier call that the judge opened, until they go back to now", async () => {
    await call(1, 0);
    await press(/Rest of line/);
    await call(1, 1);
    await settle();
    await press(/Rest of line/);
    await press(/^Calls/);
    await press(/Rising block, left/i);
    expect(await screen.findByText("Earlier call")).toBeTruthy();
    await call(2, 0);
    await settle();
    expect(children()).toEqual(firstWave);
    expect(screen.getByText("Earlier call")).toBeTruthy();
    expect(heading()).toBe("Rising block");
    await press(/Back to now/);
    await waitFor(() => expect(children()).toEqual(secondWave));
    expect(screen.queryByText("Earlier call")).toBeNull();
  });

  it("[Y167] stays with a board that has blanks in it, and the new wave waits as the card, with its name", async () => {
    await call(1, 0);
    screen.getByRole("gridcell", { name: /^1 .*chamber: blank/i }).focus();
    await userEvent.keyboard("2");
    await call(2, 0);
    await settle();
    expect(children()).toEqual(firstWave);
    await press(/Next.*Wave 2.*Rising block/i);
    await waitFor(() => expect(children()).toEqual(secondWave));
  });

  it("has the lock on the glass where a section of an earlier wave is filled, and only that one’s", async () => {
    await call(2, 0);
    await settle();
    await press(/^Calls/);
    await press(/^Wave 1/);
    await press(/^Calls/);
    await press(/^Etiquette/);
    expect(screen.queryByRole("button", { name: /^Lock/ })).toBeNull();
    await settle(pastDeafness);
    await press(/Rest of list done/);
    await press(/^Lock etiquette/);
    const { openings } = mine.notebook.book;
    const etiquette = "etiquette" as SectionId;
    for (const candidate of lanes.slice(0, 2))
      expect(openings.hasLocked("judge-1" as PersonId, candidate, etiquette)).toBe(true);
    expect(screen.queryByRole("button", { name: /^Lock/ })).toBeNull();
  });

  it("[Y210] Undo takes back nothing that is not seen to go: the board comes on the glass on which it stood, of this wave or of an earlier one", async () => {
    await call(1, 0);
    screen.getByRole("gridcell", { name: /^1 .*chamber: blank/i }).focus();
    await userEvent.keyboard("1");
    await press(/Rest of line/);
    await call(1, 1);
    await settle();
    expect(screen.getByText("right side")).toBeTruthy();
    await settle(pastDeafness);
    await press(/^Undo/);
    expect([heading(), screen.queryByText("right side")]).toEqual(["Rising block", null]);
    expect(screen.getByText("left side")).toBeTruthy();
    expect(screen.getByText("Undone: the rest of the line")).toBeTruthy();
    expect(screen.getByText("Earlier call")).toBeTruthy();
    await press(/Back to now/);
    await call(2, 0);
    await press(/Next.*Wave 2.*Rising block/i);
    await waitFor(() => expect(children()).toEqual(secondWave));
    await settle(pastDeafness);
    await press(/^Undo/);
    await waitFor(() => expect(children()).toEqual(firstWave));
    expect(screen.getByText(/^Undone: .*chamber/)).toBeTruthy();
    expect(mine.notebook.book.marks.of(lanes[0] as CandidateId, "now")).toEqual([]);
  });

  it("[Y167] follows where nothing is blank", async () => {
    await call(1, 0);
    await press(/Rest of line/);
    await call(2, 0);
    await settle();
    await waitFor(() => expect(children()).toEqual(secondWave));
  });
});

it("[Y226] names no wave among the calls that was emptied", async () => {
  await call(2, 0);
  const chief = aPen("chief");
  chief.hear(mine.notebook.book.lamport);
  const emptied = chief.write("lined-up", { wave: 1, lanes: [] }) as AnyEntry;
  await press(/^Calls/);
  expect(screen.getByRole("button", { name: "Wave 1" })).toBeTruthy();
  await act(async () => mine.notebook.take([emptied], []));
  expect(screen.queryByRole("button", { name: "Wave 1" })).toBeNull();
});
