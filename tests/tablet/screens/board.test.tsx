import { act, screen, waitFor, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { lateQuestion } from "../../../src/belt-test/scorebook/marks.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { FreeText } from "../../../src/belt-test/scorebook/side-bodies.ts";
import { heldOf } from "../../../src/belt-test/scorebook/what-was-held.ts";
import { caseOf } from "../../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { DeviceId, PersonId, SideRecordId } from "../../../src/book/identity.ts";
import { callKey, coverageKey } from "../../../src/line/coverage-key.ts";
import { BoardScreen } from "../../../src/tablet/screens/board/board-screen.tsx";
import { CallerScreen } from "../../../src/tablet/screens/caller/caller-screen.tsx";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { settle } from "../../builders/settle.ts";

const one = "candidate-1" as CandidateId;
const blocks = "blocks" as SectionId;

async function board(entries: readonly AnyEntry[]) {
  const mine = await aSession("chief", ["chief"], entries);
  mine.show(<BoardScreen />, "/tests/grading-1/chief");
  return mine;
}
const boardOf = async (entries: readonly AnyEntry[]) =>
  (await aSession("chief", ["chief"], entries)).show(<BoardScreen />, "/tests/grading-1/chief");
/** The cell of a section and a candidate, as a reader hears it. */
const cellText = (section: string, column: number) =>
  within(screen.getByRole("row", { name: new RegExp(`^${section}`) })).getAllByRole("cell")[column]
    ?.textContent;

describe("the chief's board", () => {
  it("sends to set-up before the start, and says so when nobody has been called", async () => {
    const { plan } = aTestDay();
    const first = await aSession("chief", ["chief"], plan.slice(0, -1));
    const { unmount } = first.show(<BoardScreen />, "/tests/grading-1/chief");
    expect(screen.getByRole("heading", { name: "Before the start" })).toBeTruthy();
    expect(screen.getAllByRole("link", { name: "Set up" }).length).toBeGreaterThan(0);
    unmount();
    await board(plan);
    expect(screen.getByRole("heading", { name: "Nobody has been called yet" })).toBeTruthy();
  });

  it("shows how much is marked and never a level before reveal, then the place on the line", async () => {
    const { entries, day } = aMarkedDay({ locks: (judge) => judge !== "judge-3" });
    const { notebook } = await board(entries);
    // Ten cells a judge, three judges; only the lock is missing.
    expect(cellText("Blocks", 0)).toBe("all marked, waits for 1 lock");
    expect(screen.queryByText(/floor/)).toBeNull();
    const pen = day.judges[2]?.pen;
    const basis = { "judge-3-tablet": 99 };
    const lock = pen?.write("locked", {
      section: blocks,
      candidates: [one],
      basis: basis,
    });
    await act(async () => notebook.take(lock ? [lock] : [], []));
    expect(cellText("Blocks", 0)).toBe("at Meets, floor met");
    expect(cellText("Blocks", 1)).toBe("all marked, waits for 1 lock");
  });

  it("[Y197] says who is here and in no wave, or in one in which nobody marks them", async () => {
    const day = aTestDay();
    const late = "candidate-9" as CandidateId;
    const entered = { candidate: late, number: 9, rubric: day.rubric.id };
    const { notebook } = await board([
      ...day.plan,
      ...day.candidates.map((candidate) => day.chief.write("checked-in", { candidate })),
    ] as AnyEntry[]);
    const unplanned = () => screen.queryByRole("list", { name: "Here, and not in the plan" });
    expect(unplanned()).toBeNull();
    const hear = (...entries: object[]) =>
      act(async () => notebook.take(entries as AnyEntry[], []));
    await hear(
      day.chief.write("entered", entered),
      day.chief.write("checked-in", { candidate: late }),
    );
    expect(unplanned()?.textContent).toMatch(/9 .*is here and in no wave/);
    await hear(day.chief.write("lined-up", { wave: 2, lanes: [late] }));
    expect(unplanned()?.textContent).toMatch(/9 .*nobody marks/);
  });

  it("[Y196] says of an earlier wave that somebody is not done with it, where all are with this one", async () => {
    const day = aTestDay();
    const [first, second, third] = day.candidates as [CandidateId, CandidateId, CandidateId];
    const call = { section: blocks, item: anId("rising-block"), side: "left" as const };
    await board([
      ...day.plan,
      day.chief.write("lined-up", { wave: 1, lanes: [first, second] }),
      day.chief.write("lined-up", { wave: 2, lanes: [third] }),
      ...day.candidates.map((candidate) => day.chief.write("checked-in", { candidate })),
      day.chief.write("called", { wave: 1, ...call }),
      day.chief.write("called", { wave: 1, ...call, side: "right" }),
      day.chief.write("called", { wave: 2, ...call }),
    ] as AnyEntry[]);
    expect(screen.getByText(/^Wave 1, .*: not done yet, /)).toBeTruthy();
    expect(screen.queryByText(/Every judge is done/)).toBeNull();
  });

  // A stranger's chief read "locked" and a full bar of a judge who had two calls of the wave before blank.
  it("[Y224] says in a judge's row of which earlier wave calls are not done, while others are behind in this one", async () => {
    const day = aTestDay();
    const [first, second, third] = day.candidates as [CandidateId, CandidateId, CandidateId];
    const call = { section: blocks, item: anId("rising-block"), side: "left" as const };
    const { notebook } = await board([
      ...day.plan,
      day.chief.write("lined-up", { wave: 1, lanes: [first, second] }),
      day.chief.write("lined-up", { wave: 2, lanes: [third] }),
      day.chief.write("called", { wave: 1, ...call }),
      day.chief.write("called", { wave: 1, ...call, side: "right" }),
      day.chief.write("called", { wave: 2, ...call, side: "right" }),
    ] as AnyEntry[]);
    const rows = () =>
      within(screen.getByRole("region", { name: "The panel" }))
        .getAllByRole("button")
        .map((row) => /Wave 1, Blocks: \d calls? not done/.exec(row.textContent ?? "")?.[0]);
    expect(rows()).toEqual(Array(3).fill("Wave 1, Blocks: 2 calls not done"));
    const done = (side: "left" | "right") => ({
      judge: "judge-1" as PersonId,
      wave: 1,
      section: blocks,
      item: "rising-block" as ItemId,
      side,
      alone: null,
      done: true,
    });
    const told = (["left", "right"] as const).map(done);
    await act(async () =>
      notebook.heardNews({
        calls: new Map(told.map((one) => [callKey({ ...one, side: one.side }), one])),
      }),
    );
    expect(rows()[0]).toBeUndefined();
    expect(rows()[1]).toBe("Wave 1, Blocks: 2 calls not done");
  });

  // A stranger's board blamed two judges for a child who had come after the call.
  it("[Y225] names who came after a call and what they were not shown, until it is called again", async () => {
    const day = aTestDay();
    const [first, second] = day.candidates as [CandidateId, CandidateId];
    const call = { wave: 1, section: blocks, item: "rising-block" as ItemId };
    const here = (candidate: CandidateId) => day.chief.write("checked-in", { candidate });
    const { notebook } = await board([
      ...day.plan,
      here(first),
      day.chief.write("absent", { candidate: second }),
      day.chief.write("called", { ...call, side: "left" }),
      day.chief.write("called", { ...call, side: "right" }),
      // Said again of somebody who was here.
      here(first),
    ] as AnyEntry[]);
    const list = () => screen.queryByRole("list", { name: "Came after the call" });
    expect(list()).toBeNull();
    const hear = (...entries: object[]) =>
      act(async () => notebook.take(entries as AnyEntry[], []));
    await hear(here(second));
    expect(list()?.textContent).toBe(
      "2 was not here for: Rising block, left side and Rising block, right side. Call them again, or have them marked as not seen.",
    );
    expect(screen.getByText(/not done yet, .*; 2 was not here for it/)).toBeTruthy();
    await hear(day.chief.write("called", { ...call, side: "left", repeat: true }));
    expect(list()?.textContent).toMatch(/^2 was not here for: Rising block, right side\. Call it/);
    await hear(day.chief.write("called", { ...call, side: "right", repeat: true }));
    expect(list()).toBeNull();
  });

  // A stranger's chief moved the only child of wave 1: the board stood on it and said that no wave was set.
  it("[Y226] shows no wave that was emptied, and stands on the first in which somebody is", async () => {
    const day = aTestDay();
    await board([
      ...day.plan,
      day.chief.write("lined-up", { wave: 1, lanes: [] }),
      day.chief.write("lined-up", { wave: 2, lanes: day.candidates }),
    ] as AnyEntry[]);
    const keys = within(screen.getByRole("group", { name: "Waves" })).getAllByRole("button");
    expect(keys.map(({ textContent }) => textContent)).toEqual(["Wave 2"]);
    expect(screen.queryByText("No wave is set yet.")).toBeNull();
    expect(cellText("Blocks", 0)).toBe("0 of 3 judges have marked all");
  });

  it("counts the judges the hub says are done, where the marks themselves are still closed", async () => {
    const { notebook } = await board(aTestDay().plan);
    expect(cellText("Blocks", 0)).toBe("0 of 3 judges have marked all");
    const tell = (state: "begun" | "filled") => {
      const judge = "judge-1" as PersonId;
      const work = { judge, candidate: one, section: blocks, state, notSeen: [] };
      return act(async () =>
        notebook.heardNews({ coverage: new Map([[coverageKey(work), work]]) }),
      );
    };
    await tell("begun");
    expect(cellText("Blocks", 0)).toBe("0 of 3 judges have marked all");
    await tell("filled");
    expect(cellText("Blocks", 0)).toBe("1 of 3 judges have marked all");
  });

  it("says of a judge who locked what is called and left another section of the wave unlocked that it is to lock", async () => {
    const { entries } = aMarkedDay({
      locks: (judge, section) => judge !== "judge-2" || section === "blocks",
    });
    await board(entries);
    const panel = within(screen.getByRole("region", { name: "The panel" }));
    const [first, second] = panel.getAllByRole("button");
    expect(first?.textContent).toContain("locked");
    expect(second?.textContent).toContain("1 section to lock");
    expect(second?.textContent).not.toContain("locked");
  });

  it("says who is not done with the present call, who is out of reach and what waits on their tablet", async () => {
    const { entries } = aMarkedDay({
      levelOf: (candidate, place, judge) =>
        judge === "judge-2" && candidate === one && place.criterion === "target"
          ? undefined
          : place.section === "etiquette"
            ? 2
            : 3,
      locks: () => false,
    });
    const { notebook } = await board(entries);
    await act(async () => {
      notebook.linkIs("live");
      notebook.heardNews({
        presence: [
          {
            device: "judge-2-tablet" as DeviceId,
            person: "judge-2" as PersonId,
            roles: ["judge"],
            online: false,
            lastSeenAtMs: Date.UTC(2026, 5, 6, 9, 56),
            unsent: 1,
          },
        ],
      });
    });
    const panel = within(screen.getByRole("region", { name: "The panel" }));
    const [, second] = panel.getAllByRole("button");
    expect(second?.textContent).toContain("not done yet");
    expect(second?.textContent).toContain("offline 4 min");
    expect(second?.textContent).toContain("marks wait on the tablet");
  });

  it("asks a judge about what was not seen once all is filled, without saying anything of levels", async () => {
    const { entries } = aMarkedDay({
      levelOf: (candidate, place, judge) =>
        judge === "judge-2" &&
        candidate === one &&
        place.item === "rising-block" &&
        place.side === "left"
          ? "not-seen"
          : place.section === "etiquette"
            ? 2
            : 3,
      locks: () => false,
    });
    const { notebook } = await board(entries);
    const panel = within(screen.getByRole("region", { name: "The panel" }));
    await userEvent.click(panel.getAllByRole("button")[1] as HTMLElement);
    await userEvent.click(screen.getByRole("button", { name: "Ask about 3 cells not seen" }));
    await settle();
    expect(notebook.book.requests.all.map(({ body }) => body)).toEqual([
      {
        judge: "judge-2",
        candidate: one,
        section: "blocks",
        item: "rising-block",
        side: "left",
        criterion: null,
        ask: "blank",
      },
    ]);
  });

  it("opens marks without a judge who is lost only with a reason, which stays out of the entry", async () => {
    const { entries } = aMarkedDay({ locks: (judge) => judge !== "judge-3" });
    const { notebook } = await board(entries);
    const panel = within(screen.getByRole("region", { name: "The panel" }));
    await userEvent.click(panel.getAllByRole("button")[2] as HTMLElement);
    const open = screen.getByRole("button", { name: "Open marks without this judge" });
    await userEvent.click(open);
    await settle();
    expect(notebook.book.openings.isRevealed(one, blocks)).toBe(false);
    expect(screen.getByRole("alert").textContent).toBe("A reason is needed.");
    await userEvent.type(screen.getByRole("textbox", { name: /Reason/ }), "Tablet fell, broken");
    await userEvent.click(open);
    await settle();
    expect(notebook.book.openings.isRevealed(one, blocks)).toBe(true);
    const entry = [...notebook.book.entries()].find(({ kind }) => kind === "revealed");
    expect(JSON.stringify(entry)).not.toContain("fell");
    const kept = FreeText.parse([...notebook.sides.values()][0]?.body);
    expect(kept.text).toBe("Tablet fell, broken");
  });

  it("never opens a section for which more than one judge is missing", async () => {
    const { entries } = aMarkedDay({ locks: (judge) => judge === "judge-1" });
    await board(entries);
    const panel = within(screen.getByRole("region", { name: "The panel" }));
    await userEvent.click(panel.getAllByRole("button")[1] as HTMLElement);
    expect(screen.getByText("No section waits for this judge alone.")).toBeTruthy();
  });

  it("[S153] is told of a child who was said to be away after the call, and brings the child back", async () => {
    const { day, entries } = aMarkedDay();
    const desk = aPen("prentice", "desk-tablet");
    desk.hear(5000);
    const [candidate] = day.candidates as [CandidateId];
    const absent = desk.write("absent", { candidate });
    const { notebook, show } = await aSession("chief", ["chief"], [...entries, absent]);
    show(<BoardScreen />);
    const list = await screen.findByRole("list", { name: "Said to be away after the call" });
    expect(list.textContent).toMatch(/Somebody said at .* that 1 .*is absent, after the call/);
    await userEvent.click(within(list).getByRole("button", { name: /is here after all/ }));
    await waitFor(() => expect(notebook.book.floor.presence(candidate)).toBe("checked-in"));
    await waitFor(() =>
      expect(screen.queryByRole("list", { name: "Said to be away after the call" })).toBeNull(),
    );
  });

  it("[S270] has whoever was taken out on the panel as long as marks wait for them, so that these can be opened with a reason", async () => {
    const day = aTestDay();
    const out = day.chief.write("seated", { person: "judge-1" as PersonId, roles: [] });
    const rows = () =>
      within(screen.getByRole("region", { name: "The panel" })).getAllByRole("button");
    const { unmount } = await boardOf([...day.plan, out]);
    expect(rows()).toHaveLength(3);
    unmount();
    const off = day.plan.flatMap((entry) =>
      entry.kind === "assigned" && (entry.body as { judge: string }).judge === "judge-1"
        ? []
        : [entry],
    );
    await boardOf([...off, out]);
    expect(rows()).toHaveLength(2);
  });

  it("[Y221] hands a judge's place to another after saying what follows, and back", async () => {
    const { notebook } = await board(aTestDay({ judges: 2 }).plan);
    const [wei, petra] = ["judge-1", "judge-2"] as PersonId[];
    const judges = () => notebook.book.panel.judgesOf(one, blocks);
    const panel = within(screen.getByRole("region", { name: "The panel" }));
    await userEvent.click(panel.getAllByRole("button")[0] as HTMLElement);
    await userEvent.selectOptions(screen.getByRole("combobox"), "judge-2");
    await userEvent.click(screen.getByRole("button", { name: "Replace this judge" }));
    expect(
      screen.getByText(
        /takes over 3 candidates from .*what is marked stays; but for 3 of them only 1 judge is left, and the rubric asks for 2/,
      ),
    ).toBeTruthy();
    expect(judges()).toEqual([wei, petra]);
    await userEvent.click(screen.getByRole("button", { name: /takes over$/ }));
    await settle();
    expect(judges()).toEqual([petra]);
    // Nobody has locked anything, so the panel may be whole again, with each in their own place.
    await userEvent.click(screen.getByRole("button", { name: /^Give the places back/ }));
    await settle();
    expect(judges()).toEqual([wei, petra]);
    expect(screen.queryByRole("button", { name: /^Give the places back/ })).toBeNull();
    await userEvent.click(screen.getAllByRole("button", { name: "Close" })[0] as HTMLElement);
    await userEvent.click(panel.getAllByRole("button")[1] as HTMLElement);
    expect(screen.queryByRole("button", { name: /^Give the places back/ })).toBeNull();
  });

  it("lists every clear verdict by name before it seals them all, and leaves out whom a question could change", async () => {
    const { entries } = aMarkedDay({
      // Candidate 2: judge 1 alone says Not yet everywhere. The mean is still a pass, but the question could turn it.
      levelOf: (candidate, place, judge) =>
        place.section === "etiquette"
          ? 2
          : candidate === "candidate-2" && judge === "judge-1"
            ? 1
            : 3,
    });
    const { notebook } = await board(entries);
    const basis = heldOf(notebook.book, one);
    await userEvent.click(screen.getByRole("button", { name: /Issue 2 clear verdicts/ }));
    const dialog = within(screen.getByRole("dialog"));
    expect(dialog.getAllByRole("listitem").map(({ textContent }) => textContent?.trim())).toEqual([
      "1",
      "3",
    ]);
    await userEvent.click(dialog.getByRole("button", { name: "Seal all 2" }));
    await settle();
    expect(notebook.book.decisions.verdict(one)?.body).toMatchObject({
      result: "pass",
      computed: "pass",
      retestSections: [],
      basis,
    });
    expect(notebook.book.decisions.verdict("candidate-2" as CandidateId)).toBeUndefined();
    expect(await screen.findByText("2 verdicts issued.")).toBeTruthy();
  });

  it("[Y229] has the key that closes before all others at the foot, and that of the verdicts last", async () => {
    const { entries } = aMarkedDay();
    await board(entries);
    const foot = within(screen.getByRole("contentinfo"));
    const keys = [...foot.getAllByRole("button"), ...foot.getAllByRole("link")].sort((a, b) =>
      a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING ? -1 : 1,
    );
    expect(keys[0]?.textContent).toMatch(/^Close the belt test/);
    expect(keys.at(-1)?.textContent).toMatch(/^Issue 3 clear verdicts/);
  });

  it("says so when every verdict is issued, and makes the sheets the next step", async () => {
    const { entries } = aMarkedDay();
    await board(entries);
    await userEvent.click(screen.getByRole("button", { name: /Issue 3 clear verdicts/ }));
    await userEvent.click(screen.getByRole("button", { name: "Seal all 3" }));
    expect(await screen.findByText("Every verdict is issued")).toBeTruthy();
    expect(screen.getByText("3 of 3 verdicts issued")).toBeTruthy();
    expect(screen.getByRole("link", { name: /Sheets\s*3 to release/ })).toBeTruthy();
  });

  it("names what is open before it closes the test, asks for a reason then, and says afterwards who closed it and why", async () => {
    const { entries } = aMarkedDay();
    const { notebook } = await board(entries);
    await act(async () =>
      notebook.heardNews({
        presence: [
          {
            device: "t2" as DeviceId,
            person: "judge-2" as PersonId,
            roles: ["judge"],
            online: true,
            lastSeenAtMs: 1,
            unsent: 3,
          },
        ],
      }),
    );
    await userEvent.click(screen.getByRole("button", { name: /Issue 3 clear verdicts/ }));
    await userEvent.click(screen.getByRole("button", { name: "Seal all 3" }));
    await settle();
    await notebook.write("sheet-released", { candidate: one });
    await settle();
    await userEvent.click(
      screen.getByRole("button", { name: /Close the belt test.*2 sheets to release/ }),
    );
    const dialog = within(screen.getByRole("dialog"));
    expect(dialog.getByRole("heading", { name: "Sheets not released: 2" })).toBeTruthy();
    expect(dialog.queryByText(/Without a verdict/)).toBeNull();
    expect(dialog.getByText(/: marks wait on the tablet/)).toBeTruthy();
    await userEvent.click(dialog.getByRole("button", { name: "Close it all the same" }));
    expect(dialog.getByText("A reason is needed.")).toBeTruthy();
    expect(notebook.book.plan.isClosed).toBe(false);
    await userEvent.type(dialog.getByLabelText(/Why it is closed/), "The hall shuts at six.");
    await userEvent.click(dialog.getByRole("button", { name: "Close it all the same" }));
    await settle();
    expect(screen.getByRole("heading", { name: "The belt test is closed" })).toBeTruthy();
    expect(screen.getByText(/The hall shuts at six/)).toBeTruthy();
    expect(screen.queryByRole("button", { name: /Close the belt test/ })).toBeNull();
    expect(JSON.stringify([...notebook.book.entries()])).not.toContain("hall shuts");
  });

  it("closes without a question when everything is done", async () => {
    const { entries } = aMarkedDay();
    const { notebook } = await board(entries);
    await userEvent.click(screen.getByRole("button", { name: /Issue 3 clear verdicts/ }));
    await userEvent.click(screen.getByRole("button", { name: "Seal all 3" }));
    await settle();
    for (const { candidate } of notebook.book.plan.entrants)
      await act(async () => void (await notebook.write("sheet-released", { candidate })));
    await userEvent.click(
      screen.getByRole("button", { name: /Close the belt test.*nothing is open/ }),
    );
    const dialog = within(screen.getByRole("dialog"));
    expect(dialog.queryByRole("textbox")).toBeNull();
    await userEvent.click(dialog.getByRole("button", { name: "Close it" }));
    await settle();
    expect(notebook.book.plan.closing?.body).toEqual({ basis: expect.any(Object) });
  });

  /** Two of three judges say Nearly of candidate 2 nearly everywhere, so that a question could turn the result; the chief issues it all the same. */
  const split: Parameters<typeof aMarkedDay>[0] = {
    levelOf: (candidate, place, judge) =>
      place.section === "etiquette"
        ? 2
        : judge === "judge-1" && candidate === "candidate-2"
          ? 1
          : 3,
  };
  const verdictOf = (
    { chief }: ReturnType<typeof aMarkedDay>["day"],
    book: ReturnType<typeof fold>,
    candidate: CandidateId,
  ) => {
    chief.hear(book.lamport);
    const computed = outcome(caseOf(book, candidate)).computed;
    return chief.write("verdict", {
      candidate,
      result: "pass",
      retestSections: [],
      computed,
      basis: heldOf(book, candidate),
      reason: { id: "side-why" as SideRecordId, digest: "0".repeat(64) },
    });
  };

  it("[V132] goes on naming what could turn a verdict when it is issued over it, also before the closing", async () => {
    const { entries, day } = aMarkedDay(split);
    const book = fold(entries);
    const questions = () => within(screen.getByRole("region", { name: "Open questions" }));
    await board([...entries, verdictOf(day, book, "candidate-2" as CandidateId)]);
    expect(questions().queryByText(/None could change a verdict as far/)).toBeNull();
    expect(questions().queryByText("None is open.")).toBeNull();
    await userEvent.click(questions().getByText(/could turn a verdict (was|were) open when it/));
    expect(questions().getByRole("link").textContent).toMatch(/^2 /);
    await userEvent.click(screen.getByRole("button", { name: /Close the belt test/ }));
    const dialog = within(screen.getByRole("dialog"));
    const heading = "Issued over an open question that could turn the verdict";
    expect(dialog.getByRole("heading", { name: heading })).toBeTruthy();
    expect(dialog.queryByText(/after which something came/)).toBeNull();
  });

  it("[T116] asks again beside a verdict only what came after it", async () => {
    const { entries, day } = aMarkedDay({});
    const pen = day.judges[0]?.pen;
    const late = pen && aMark(pen, { candidate: one, level: 1 });
    if (!late) throw new Error("no judge");
    const asked = () => screen.queryByText(/asked again/);
    const { unmount } = await boardOf([
      ...entries,
      late,
      verdictOf(day, fold([...entries, late]), one),
    ]);
    expect(asked()).toBeNull();
    unmount();
    await boardOf([...entries, verdictOf(day, fold(entries), one), late]);
    expect(asked()?.textContent).toContain("1 question asked again");
  });

  it("[T116] asks again what came of late marks that were let count after it, and says not that it was open then", async () => {
    const { entries, day } = aMarkedDay({});
    const judge = day.judges[0];
    const late = judge && aMark(judge.pen, { candidate: one, level: 1 });
    if (!judge || !late) throw new Error("no judge");
    const verdict = verdictOf(day, fold(entries), one);
    const counts = day.chief.write("review-settled", {
      question: lateQuestion(judge.person, "blocks" as SectionId),
      candidate: one,
      decision: "late-counts",
      basis: fold([...entries, late]).basis,
      reason: { id: "side-why" as SideRecordId, digest: "0".repeat(64) },
    });
    await boardOf([...entries, verdict, late, counts]);
    expect(screen.queryByText(/asked again/)).not.toBeNull();
    expect(screen.queryByText(/open when it/)).toBeNull();
  });

  it("folds away what would change nothing, and what is not known yet", async () => {
    const gap: Parameters<typeof aMarkedDay>[0] = {
      // Judge 1 alone says Not yet of candidate 2 everywhere, and of one cell of candidate 3.
      levelOf: (candidate, place, judge) =>
        place.section === "etiquette"
          ? 2
          : judge === "judge-1" &&
              (candidate === "candidate-2" ||
                (candidate === "candidate-3" &&
                  place.item === "low-block" &&
                  place.criterion === "chamber"))
            ? 1
            : 3,
    };
    const { unmount } = await boardOf(aMarkedDay(gap).entries);
    const questions = () => within(screen.getByRole("region", { name: "Open questions" }));
    expect(questions().getByText("1 candidate to settle before results")).toBeTruthy();
    expect(questions().getByText(/could change the verdict\.$/)).toBeTruthy();
    // A card a candidate, however many questions it has.
    expect(questions().getAllByRole("link")).toHaveLength(1);
    expect(questions().getByRole("link").textContent).toMatch(/^2 .*and \d+ more$/);
    const shown = () =>
      questions()
        .getAllByRole("link")
        .map(({ textContent }) => textContent);
    expect(shown().every((text) => text?.includes("could"))).toBe(true);
    const before = shown().length;
    await userEvent.click(questions().getByText(/would change nothing$/));
    expect(shown().length).toBeGreaterThan(before);
    expect(shown().some((text) => text?.startsWith("3"))).toBe(true);
    unmount();

    const waits = { ...gap, locks: (_: PersonId, section: string) => section === "blocks" };
    await boardOf(aMarkedDay(waits).entries);
    expect(questions().getByText("None could change a verdict as far as is known.")).toBeTruthy();
    expect(questions().queryAllByRole("link")).toEqual([]);
    expect(questions().getByText(/more: what they could change shows/)).toBeTruthy();
    expect(questions().queryByText(/would change nothing/)).toBeNull();
  });

  it("[Y209] says at the first side of two that are marked together, as the caller's page does, who has marked already and that nobody is late", async () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const call = { wave: 1, section: blocks, item: "low-block" as ItemId, side: "left" as const };
    const entries = [
      ...day.plan,
      day.chief.write("checked-in", { candidate: one }),
      day.chief.write("called", call),
    ];
    const done = { ...call, judge: "judge-1" as PersonId, side: null, alone: null, done: true };
    for (const Screen of [BoardScreen, CallerScreen]) {
      const { notebook, show } = await aSession("chief", ["chief", "caller"], entries);
      const { unmount } = show(<Screen />, "/tests/grading-1/chief");
      await act(async () => {
        notebook.linkIs("live");
        notebook.heardNews({ calls: new Map([[callKey(done), done]]) });
      });
      expect(screen.getAllByText("marked")).toHaveLength(1);
      expect(screen.getAllByText("with the other side")).toHaveLength(1);
      expect(screen.queryByText(/^not done yet$|not in this set/)).toBeNull();
      unmount();
    }
  });

  it("asks for a verdict of nobody who is away, and for no mark when the test is closed", async () => {
    const { entries, day } = aMarkedDay({ levelOf: () => undefined, locks: () => false });
    const { notebook } = await board([
      ...entries,
      day.chief.write("absent", { candidate: "candidate-3" as CandidateId }),
    ]);
    expect(screen.getByText("0 of 2 verdicts issued")).toBeTruthy();
    expect(
      screen.getByRole("button", { name: /Close the belt test.*2 without a verdict$/ }),
    ).toBeTruthy();
    const panel = within(screen.getByRole("region", { name: "The panel" }));
    expect(panel.getAllByText(/not done yet$/).length).toBeGreaterThan(0);
    await act(async () => notebook.take([day.chief.write("closed", {})], []));
    expect(panel.queryByText(/not done yet$/)).toBeNull();
    expect(panel.queryByText(/sections of this wave/)).toBeNull();
    expect(screen.getAllByText("no verdict")).toHaveLength(2);
  });

  it("leads from a question to its candidate, weightiest first", async () => {
    const { entries } = aMarkedDay({
      levelOf: (candidate, place, judge) =>
        place.section === "etiquette"
          ? 2
          : candidate === "candidate-2" && judge === "judge-1"
            ? 1
            : 3,
    });
    await board(entries);
    const questions = within(screen.getByRole("region", { name: "Open questions" }));
    const [first] = questions.getAllByRole("link");
    expect(first?.getAttribute("href")).toMatch(/chief\/candidates\/candidate-2\?question=/);
    expect(first?.textContent).toContain("could");
  });
});
