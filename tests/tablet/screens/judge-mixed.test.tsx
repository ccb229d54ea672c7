import { act, fireEvent, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, RubricId } from "../../../src/belt-test/identity.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { isKnown } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { JudgeScreen } from "../../../src/tablet/screens/judge/judge-screen.tsx";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { type ASession, aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { settle } from "../../builders/settle.ts";

const judge = "judge-1" as PersonId;
const [one, two] = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];
/** Three levels, where the other has four. */
const short = () => {
  const { scale, criteria } = aRubric();
  return aRubric({
    id: "short" as RubricId,
    scale: { levels: scale.levels.filter(({ title }) => title !== "Nearly"), meetsLevel: 2 },
    criteria: criteria.map((criterion) => ({
      ...criterion,
      descriptors: criterion.descriptors.slice(1),
    })),
  });
};
let mine: ASession;
let plan: AnyEntry[];
let caller: ReturnType<typeof aPen>;

async function call(index: number) {
  const step = waveScript(fold(plan), 1)[index];
  if (!step) throw new Error(`no step ${index}`);
  caller.hear(mine.notebook.book.lamport);
  await act(async () => mine.notebook.take([caller.write("called", callBody(1, step))], []));
  await pastDeafness();
}
const pastDeafness = () => act(() => new Promise((done) => setTimeout(done, 380)));
const columns = () =>
  screen
    .getAllByRole("columnheader")
    .flatMap(({ textContent }) => /^\d+/.exec(textContent ?? "")?.[0] ?? []);
const given = (candidate: CandidateId) =>
  mine.notebook.book.marks
    .of(candidate, "now")
    .map(({ criterion, level }) => {
      const levels = mine.notebook.book.plan.rubricOf(candidate)?.scale.levels;
      return `${criterion} ${levels?.[Number(level) - 1]?.title}`;
    })
    .sort();
const meets = ["chamber Meets", "extension Meets", "target Meets"];

beforeEach(async () => {
  const day = aTestDay({ candidates: 2, judges: 1 });
  const { chief } = day;
  plan = [
    ...day.plan,
    chief.write("frozen", { rubric: short() }),
    chief.write("entered", { candidate: two, number: 2, rubric: "short" as RubricId }),
    ...[one, two].map((candidate) => chief.write("checked-in", { candidate })),
  ];
  caller = aPen("caller");
  caller.hear(fold(plan).lamport);
  mine = await aSession(judge, ["judge"], plan);
  mine.notebook.linkIs("live");
  mine.show(<JudgeScreen />);
  await call(0);
});

describe("a wave of two scales", () => {
  it("[Y237] has a board for each, one after the other, and what is read under the finger is what is kept", async () => {
    expect(columns()).toEqual(["1"]);
    // The other board waits as the card, also while this one has blanks.
    expect(screen.getByRole("button", { name: /Next.*Rising block, left side · 2/ })).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    await pastDeafness();
    expect(columns()).toEqual(["2"]);
    const cells = screen.getAllByRole("gridcell", { name: /^2 .*: blank/i });
    for (const cell of cells) {
      cell.focus();
      await userEvent.keyboard("2");
    }
    await settle();
    expect(given(one)).toEqual(meets);
    expect(given(two)).toEqual(meets);
    for (const name of ["chamber", "extension", "target"])
      expect(
        screen.getByRole("gridcell", { name: new RegExp(`^2 .*${name}: meets`, "i") }),
      ).toBeTruthy();
    // Nothing waits, and the next call is followed.
    expect(screen.queryByRole("button", { name: /^Next/ })).toBeNull();
    await call(1);
    expect(columns()).toEqual(["1"]);
    expect(screen.getByRole("heading", { level: 1 }).textContent).toBe("Rising block");
  });

  it("[S311] says with every mark by which scale it was given, also when one is taken back", async () => {
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    await pastDeafness();
    const [cell] = screen.getAllByRole("gridcell", { name: /^2 .*: blank/i });
    cell?.focus();
    await userEvent.keyboard("2");
    await settle();
    await userEvent.click(screen.getByRole("button", { name: /^Undo/ }));
    await settle();
    const said = [...mine.notebook.book.entries()]
      .filter(isKnown)
      .flatMap((line) => (line.kind === "mark" ? [line.body] : []));
    const of = (candidate: CandidateId) =>
      said.flatMap(({ cells, scale }) => (cells[0]?.candidate === candidate ? [scale] : []));
    expect(of(one)).toEqual([[4, 3]]);
    expect(of(two)).toEqual([
      [3, 2],
      [3, 2],
    ]);
  });

  it("[Y237] a board that is done is opened by hand and stays, and back to now goes to the one that waits", async () => {
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    expect(columns()).toEqual(["2"]);
    await userEvent.click(screen.getByRole("button", { name: /Calls/ }));
    const list = await screen.findByRole("dialog", { hidden: true });
    fireEvent.click(within(list).getByText(/Rising block, left side · 1/));
    await settle();
    expect(columns()).toEqual(["1"]);
    await userEvent.click(screen.getByRole("button", { name: /Back to now/i }));
    await settle();
    expect(columns()).toEqual(["2"]);
  });
});
