import { act, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { Route, Routes } from "react-router";
import { describe, expect, it } from "vitest";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { sight } from "../../../src/belt-test/scorebook/sight.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { pageRoutes } from "../../../src/tablet/router.tsx";
import { BoardScreen } from "../../../src/tablet/screens/board/board-screen.tsx";
import { SessionFrame } from "../../../src/tablet/screens/frame/session-frame.tsx";
import { OwnScreen } from "../../../src/tablet/screens/own/own-screen.tsx";
import { PanelScreen } from "../../../src/tablet/screens/panel/panel-screen.tsx";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const { day, entries } = aMarkedDay({
  day: aTestDay({ judges: 3, candidates: 8 }),
  levelOf: (candidate, place, judge) => {
    if (place.section === "etiquette") return 2;
    const at = 11 * place.criterion.length + 5 * (place.item?.length ?? 1);
    const chance = Math.sin(7 * candidate.charCodeAt(10) + 3 * judge.charCodeAt(6) + at);
    return chance > 0.8 ? 4 : judge === "judge-2" && chance < 0 ? 2 : 3;
  },
});
day.chief.hear(fold(entries).lamport);
const released: AnyEntry[] = [
  ...entries,
  ...day.candidates.map((candidate) => day.chief.write("sheet-released", { candidate })),
];

describe("what a judge is told of their own marking", () => {
  it("comes from the chief's page, after release, and each is sent their own only", async () => {
    const chief = await aSession("chief", ["chief"], released);
    chief.show(<PanelScreen />);
    await userEvent.click(screen.getByRole("button", { name: "Give each judge their page" }));
    await waitFor(() => expect(screen.getByText("3 judges have a page.")).toBeTruthy());
    const book = chief.notebook.book;
    const written = [...book.entries()].filter(({ kind }) => kind === "judge-told");
    for (const person of ["judge-1", "judge-2", "judge-3"] as PersonId[])
      expect(
        written.filter((entry) => sight({ person, roles: ["judge"] }, entry) === "now"),
      ).toEqual([book.standards.told(person)]);
  });
  it("cannot be given before", async () => {
    const chief = await aSession("chief", ["chief"], entries);
    chief.show(<PanelScreen />);
    expect(screen.getByText(/^When every sheet is released, you can give/)).toBeTruthy();
    expect(screen.queryByRole("button", { name: /Give/ })).toBeNull();
  });
  it("is one sentence, what to do next, and the dot it rests on", async () => {
    const told = day.chief.write("judge-told", {
      judge: "judge-2" as PersonId,
      standing: "severe",
      severity: {
        value: 0.34,
        se: 0.1,
        against: "others",
        isBeyondChance: true,
        isBeyondCommon: true,
      },
      candidates: 8,
      marks: 80,
      restShare: 0.25,
      sameShare: 0.6,
      pace: { places: 40, medianSeconds: 14.2, quickShare: 0.3, isHasty: true },
      drift: [],
      odd: [
        { name: "own-students", value: 0.31 },
        { name: "criterion", value: -0.42, criterion: anId("stance") },
      ],
    });
    const judge = await aSession("judge-2", ["judge"], [...day.plan, told]);
    judge.show(<OwnScreen />);
    expect(screen.getByRole("heading", { level: 2 }).textContent).toBe(
      "You mark lower than the others, by about 0.3 of a level.",
    );
    expect(
      screen.getByText("That is more than chance, and more than judges commonly differ."),
    ).toBeTruthy();
    expect(
      screen.getByText(/^You mark your own students higher .* about 0\.3 of a level\.$/),
    ).toBeTruthy();
    expect(
      screen.getByText("You mark stance higher than the others, by about 0.4 of a level."),
    ).toBeTruthy();
    expect(
      screen.getByText(
        /you took about 14 seconds, .* 12 of 40 took less than 5, .*: were they marked from memory\?$/,
      ),
    ).toBeTruthy();
    expect(screen.getByText(/^Before the next test, mark two performances/)).toBeTruthy();
    expect(screen.getByRole("img", { name: /0\.34 of a level lower .* 0\.10$/ })).toBeTruthy();
  });
  it("[T127] does not say that there is nothing to change where too little can be said", async () => {
    const told = day.chief.write("judge-told", {
      judge: "judge-2" as PersonId,
      standing: "too-little",
      severity: null,
      shared: 5,
      needed: 6,
      why: "few",
      candidates: 5,
      marks: 80,
      restShare: 0.25,
      drift: [],
      odd: [],
    } as never);
    const judge = await aSession("judge-2", ["judge"], [...day.plan, told]);
    judge.show(<OwnScreen />);
    expect(screen.getByRole("heading", { level: 2 }).textContent).toMatch(/^Too little to say/);
    expect(screen.queryByText("Nothing to change.")).toBeNull();
  });
  it("is nobody else's: another judge's tablet shows that it waits", async () => {
    const judge = await aSession("judge-1", ["judge"], day.plan);
    judge.show(<OwnScreen />);
    expect(screen.getByText("Not yet")).toBeTruthy();
  });
  it("[Y166] is reached from the judge's page after closing, and says whether it has been given", async () => {
    const closing = day.chief.write("closed", {});
    const judge = await aSession("judge-2", ["judge"], [...released, closing]);
    judge.show(
      <Routes>
        <Route element={<SessionFrame />}>{pageRoutes}</Route>
      </Routes>,
      "/tests/grading-1/judge",
    );
    expect(await screen.findByText(/comes here when the chief examiner gives it/)).toBeTruthy();
    await userEvent.click(screen.getByRole("link", { name: "My marking" }));
    expect(await screen.findByText("Not yet")).toBeTruthy();
  });
  it("[Y166] is still to be given: the chief's board says so once every sheet is out, and until all have theirs", async () => {
    const chief = await aSession("chief", ["chief"], entries);
    const { unmount } = chief.show(<BoardScreen />);
    const key = () => screen.queryByRole("link", { name: /^Judges’ own pages/ });
    expect(key()).toBeNull();
    await act(async () => chief.notebook.take(released, []));
    expect(key()?.textContent).toMatch(/3 judges have not been given theirs/);
    await act(async () => {
      for (const candidate of day.candidates)
        await chief.notebook.write("verdict", {
          candidate,
          result: "pass",
          retestSections: [],
          computed: "pass",
          basis: {},
        });
      await chief.notebook.write("closed", {});
    });
    expect(key()).not.toBeNull();
    unmount();
    chief.show(<PanelScreen />);
    await userEvent.click(screen.getByRole("button", { name: "Give each judge their page" }));
    await waitFor(() => expect(screen.getByText("3 judges have a page.")).toBeTruthy());
    chief.show(<BoardScreen />);
    expect(key()).toBeNull();
  });
});
