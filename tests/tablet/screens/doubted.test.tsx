import { act, screen, waitFor, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { Route, Routes } from "react-router";
import { describe, expect, it } from "vitest";
import type { CandidateId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { Basis } from "../../../src/book/counts.ts";
import { BoardScreen } from "../../../src/tablet/screens/board/board-screen.tsx";
import { CandidateScreen } from "../../../src/tablet/screens/candidate/candidate-screen.tsx";
import { SheetsScreen } from "../../../src/tablet/screens/sheets/sheets-screen.tsx";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aSession } from "../../builders/a-session.tsx";

const one = "candidate-1" as CandidateId;

/** Everything is marked and open, and comes to a pass; the verdict on the first child is another, and rests on what a tablet has that never came. */
async function aDoubtedDay() {
  const { entries, day } = aMarkedDay();
  const book = fold(entries);
  day.chief.hear(book.lamport);
  const issue = (result: "pass" | "retest", basis: Basis) =>
    day.chief.write("verdict", {
      candidate: one,
      result,
      retestSections: result === "retest" ? ["blocks" as SectionId] : [],
      computed: result,
      basis,
    });
  const doubted = issue("retest", { ...book.basis, "a-tablet-that-never-came": 1 } as Basis);
  const session = await aSession("chief", ["chief"], [...entries, doubted]);
  return { ...session, anew: () => issue("pass", book.basis) };
}

describe("a verdict that cannot be relied on", () => {
  it("[V126] is named on the board before every question, and on its foot, until it is issued anew", async () => {
    const { show, notebook, anew } = await aDoubtedDay();
    show(<BoardScreen />, "/tests/grading-1/chief");
    const questions = within(screen.getByRole("region", { name: "Open questions" }));
    const [first] = questions.getAllByRole("link");
    expect(first?.textContent).toContain("This verdict rests on marks that are not here.");
    expect(screen.getAllByText("look again").length).toBe(2);
    expect(screen.queryByText("None is open.")).toBeNull();
    await act(async () => notebook.take([anew()], []));
    expect(screen.queryByText("look again")).toBeNull();
  });

  it("[V126] says on the candidate's page what to do", async () => {
    const { show } = await aDoubtedDay();
    show(
      <Routes>
        <Route path="chief/candidates/:candidate" element={<CandidateScreen />} />
      </Routes>,
      "/tests/grading-1/chief/candidates/candidate-1",
    );
    expect(screen.getByRole("alert").textContent).toContain("issue the verdict anew");
  });

  it("[V126] makes no sheet, and says why", async () => {
    const { show } = await aDoubtedDay();
    show(<SheetsScreen />, "/tests/grading-1/sheets");
    expect(await screen.findByText("No sheet yet")).toBeTruthy();
  });

  /** Passed by its rubric, and entered for the next belt since. */
  async function aDayOfTwoRubrics(isClosed = false) {
    const { entries, day } = aMarkedDay();
    const book = fold(entries);
    day.chief.hear(book.lamport);
    const verdict = day.chief.write("verdict", {
      ...{ candidate: one, result: "pass", retestSections: [], computed: "pass" },
      basis: book.basis,
    });
    const next = { ...aRubric(), id: "next" as RubricId, title: "To the next belt" };
    const frozen = day.chief.write("frozen", { rubric: next });
    const entered = day.chief.write("entered", { candidate: one, number: 1, rubric: next.id });
    const since = isClosed ? [day.chief.write("closed", {})] : [];
    return aSession("chief", ["chief"], [...entries, verdict, frozen, entered, ...since]);
  }
  const aPage = (
    <Routes>
      <Route path="chief/candidates/:candidate" element={<CandidateScreen />} />
    </Routes>
  );

  it("[V133] of a child tested by another rubric now is named on the board, on the candidate's page and among the sheets", async () => {
    const { show } = await aDayOfTwoRubrics();
    const board = show(<BoardScreen />, "/tests/grading-1/chief");
    const questions = within(screen.getByRole("region", { name: "Open questions" }));
    expect(questions.getAllByRole("link")[0]?.textContent).toContain("by another rubric");
    board.unmount();
    const page = show(aPage, "/tests/grading-1/chief/candidates/candidate-1");
    expect(screen.getByRole("alert").textContent).toContain("issue the verdict anew");
    page.unmount();
    show(<SheetsScreen />, "/tests/grading-1/sheets");
    expect(await screen.findByText("No sheet yet")).toBeTruthy();
  });

  it("[V134] of another rubric than now is right again when the child goes back to it, with a reason, also after the closing", async () => {
    const { show, notebook } = await aDayOfTwoRubrics(true);
    show(aPage, "/tests/grading-1/chief/candidates/candidate-1");
    await userEvent.click(screen.getByRole("button", { name: `Back to “${aRubric().title}”` }));
    const dialog = within(screen.getByRole("dialog"));
    await userEvent.click(dialog.getByRole("button", { name: "Go back to it" }));
    expect(notebook.book.plan.entrant(one)?.rubric).toBe("next");
    await userEvent.type(dialog.getByLabelText(/Reason/), "It was a slip");
    await userEvent.click(dialog.getByRole("button", { name: "Go back to it" }));
    await waitFor(() => expect(screen.queryByRole("dialog")).toBeNull());
    expect(notebook.book.plan.entrant(one)?.rubric).toBe(aRubric().id);
    expect(screen.queryByRole("alert")).toBeNull();
  });

  it("[V134] of two by two rubrics either rubric is gone back to, and the page says that one is to be issued anew", async () => {
    const { entries, day } = aMarkedDay();
    const book = fold(entries);
    day.chief.hear(book.lamport);
    const issue = (basis: Basis) =>
      day.chief.write("verdict", {
        ...{ candidate: one, result: "pass", retestSections: [], computed: "pass" },
        ...{ basis, after: {} as Basis },
      });
    const next = { ...aRubric(), id: "next" as RubricId, title: "To the next belt" };
    const byFirst = issue(book.basis);
    const since = [
      day.chief.write("frozen", { rubric: next }),
      day.chief.write("entered", { candidate: one, number: 1, rubric: next.id }),
    ];
    const byNext = issue(fold([...entries, ...since]).basis);
    const closed = day.chief.write("closed", {});
    const lines = [...entries, byFirst, ...since, byNext, closed];
    const { show, notebook } = await aSession("chief", ["chief"], lines);
    show(aPage, "/tests/grading-1/chief/candidates/candidate-1");
    const keys = within(screen.getByRole("alert")).getAllByRole("button");
    expect(keys.map(({ textContent }) => textContent)).toEqual([`Back to “${aRubric().title}”`]);
    await userEvent.click(keys[0] as HTMLElement);
    const dialog = within(screen.getByRole("dialog"));
    expect(screen.getByRole("dialog").textContent).toContain("issue one anew");
    await userEvent.type(dialog.getByLabelText(/Reason/), "The other was a slip");
    await userEvent.click(dialog.getByRole("button", { name: "Go back to it" }));
    expect(notebook.book.plan.entrant(one)?.rubric).toBe(aRubric().id);
    expect(screen.getByRole("button", { name: "Back to “To the next belt”" })).toBeTruthy();
  });
});
