import { act, screen, waitFor } from "@testing-library/react";
import { Route, Routes } from "react-router";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { coverageKey } from "../../../src/line/coverage-key.ts";
import { SessionFrame } from "../../../src/tablet/screens/frame/session-frame.tsx";
import { PlanHand } from "../../../src/tablet/screens/set-up/plan-hand.ts";
import { enterCandidate } from "../../../src/tablet/session/enter-candidate.ts";
import { aGatedRubric } from "../../builders/a-gated-rubric.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay, type TestDay } from "../../builders/a-test-day.ts";

const anya = "anya" as CandidateId;
const low = "low-block" as ItemId;
const row = { number: 9, rubric: aRubric().id, given: "Anya" };
const aPage = (
  <Routes>
    <Route element={<SessionFrame />}>
      <Route path="*" element={<p>the page</p>} />
    </Route>
  </Routes>
);

/** A day on which the low block is asked from twelve, or from any age. */
function aGatedDay(from: number | undefined = 12) {
  const day = aTestDay();
  const rubric = aGatedRubric(2, { "low-block": from });
  return { ...day, plan: [...day.plan, day.chief.write("frozen", { rubric })] };
}
async function aChief(from?: number) {
  const day = aGatedDay(from);
  const mine = await aSession("chief", ["chief"], day.plan);
  const { notebook, services } = mine;
  mine.show(aPage, `/tests/${aGradingId}/set-up`);
  await screen.findByText("the page");
  const isExcused = (wanted: boolean) =>
    waitFor(() => expect(notebook.book.plan.excuse(anya, low) !== undefined).toBe(wanted), {
      timeout: 5000,
    });
  const enter = (birthYear: number) =>
    act(() => enterCandidate(notebook, services, anya, { ...row, birthYear }));
  return { ...day, ...mine, hand: new PlanHand(notebook, services), isExcused, enter };
}

describe("who is too young for an item, on the tablets", () => {
  it("[Y235] is excused by the desk that enters the child, also where it has not heard that the test is open", async () => {
    const unopened = aGatedDay().plan.filter(({ kind }) => kind !== "started");
    const { notebook, services } = await aSession("desk", ["desk"], unopened);
    await enterCandidate(notebook, services, anya, { ...row, birthYear: 2018 });
    expect(notebook.book.plan.isStarted).toBe(false);
    expect(notebook.book.plan.excuse(anya, low)).toBeDefined();
  });

  it("[Y235] is asked after all when the year was a slip, and excused again when it was not", async () => {
    const { notebook, enter, isExcused, hand } = await aChief();
    await enter(2010);
    await isExcused(false);
    const entrant = notebook.book.plan.entrant(anya);
    if (!entrant) throw new Error("entered above");
    const undo = await act(() => hand.correct(entrant, { ...row, birthYear: 2018 }));
    await isExcused(true);
    await act(async () => void (await undo()));
    await isExcused(false);
    await enter(2018);
    await isExcused(true);
    await act(async () => void (await undo()));
    await isExcused(false);
  });

  it("[Y235] is excused when a rubric that comes in the middle asks for more years; what was done by then stays", async () => {
    const { notebook, services, enter, isExcused, hand } = await aChief(8);
    const done = "done" as CandidateId;
    await enter(2014);
    await act(() =>
      enterCandidate(notebook, services, done, { ...row, number: 10, birthYear: 2014 }),
    );
    const work = {
      ...{ judge: "judge-1" as PersonId, candidate: done, section: "blocks" as SectionId },
      ...{ state: "filled" as const, notSeen: [] },
    };
    act(() => notebook.heardNews({ coverage: new Map([[coverageKey(work), work]]) }));
    await act(() => hand.replaceRubric(aGatedRubric(3, { "low-block": 14 }), "As agreed"));
    await isExcused(true);
    expect(notebook.book.plan.excuse(done, low)).toBeUndefined();
  });
});

describe("a test that nobody opened", () => {
  const unopened = (day: TestDay) => day.plan.filter(({ kind }) => kind !== "started");
  const aCall = (day: TestDay) =>
    aPen("caller").write("called", {
      ...{ wave: 1, section: "blocks" as SectionId, item: "rising-block" as ItemId, side: null },
    });

  it("[Y236] says so to caller and judge, and where something was called to the chief, who has STOP then", async () => {
    const day = aTestDay();
    const judge = await aSession("judge-1", ["judge"], unopened(day));
    const { unmount } = judge.show(aPage, `/tests/${aGradingId}/judge`);
    await screen.findByText("The chief examiner has not opened the test yet.");
    unmount();
    const chief = await aSession("chief", ["chief"], unopened(day));
    chief.show(aPage, `/tests/${aGradingId}/set-up`);
    await screen.findByText("the page");
    const stop = () => screen.queryByRole("button", { name: /STOP/ });
    expect([screen.queryByText(/the test is not open/), stop()]).toEqual([null, null]);
    act(() => chief.notebook.take([aCall(day)], []));
    await screen.findByText(/Something was called, and the test is not open/);
    await waitFor(() => expect(stop()).toBeTruthy());
    await act(() => chief.notebook.write("started", {}));
    expect(screen.queryByText(/the test is not open/)).toBeNull();
  });
});
