import { act, cleanup, fireEvent, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { lockBody } from "../../../src/belt-test/scorebook/judge-view.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { Step } from "../../../src/belt-test/script/script.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { JudgeScreen } from "../../../src/tablet/screens/judge/judge-screen.tsx";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { type ASession, aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anAnchor, anAnchorId, anchorLevels } from "../../builders/an-anchor.ts";
import { anId } from "../../builders/an-id.ts";
import { settle } from "../../builders/settle.ts";

const judge = "judge-1" as PersonId;
const one = "candidate-1" as CandidateId;
const risingLeft = {
  section: "blocks" as SectionId,
  item: "rising-block" as ItemId,
  side: "left" as const,
};

let day: ReturnType<typeof aTestDay>;
let steps: ReturnType<typeof waveScript>;
let caller: ReturnType<typeof aPen>;
let mine: ASession;

/** The caller calls a step of wave 1; the judge's device hears it. */
async function call(index: number) {
  const step = steps[index];
  if (!step) throw new Error(`no step ${index}`);
  caller.hear(mine.notebook.book.lamport);
  await act(async () => mine.notebook.take([caller.write("called", callBody(1, step))], []));
}
/** The entries this judge wrote, oldest first. */
const written = () =>
  [...mine.notebook.book.entries()].filter((entry: AnyEntry) => entry.by === judge);
const cell = (name: RegExp) => screen.getByRole("gridcell", { name });
/** After a change of columns taps are ignored for 350 ms, so that none lands on what was not meant. */
const pastDeafness = () => act(() => new Promise((done) => setTimeout(done, 380)));
/** Marks one cell, and takes the next call. */
async function leavesBlanks() {
  await call(0);
  cell(/^1 .*chamber: blank/i).focus();
  await userEvent.keyboard("2");
  await call(1);
  await userEvent.click(screen.getByRole("button", { name: /Next.*right side/ }));
}
/** The same, and opens what was left blank by the list of calls. */
async function goesBackToWhatWasLeft() {
  await leavesBlanks();
  await userEvent.click(screen.getByRole("button", { name: /Still open.*8 blank/ }));
  const list = await screen.findByRole("dialog", { hidden: true });
  fireEvent.click(within(list).getByText(/Rising block, left/));
  await settle();
}
const heading = () => screen.getByRole("heading", { level: 1 }).textContent;

describe("a call that is still to come", () => {
  it("[T114] is said to be one on the line of the call, as long as the caller is in reach", async () => {
    day = aTestDay();
    steps = waveScript(fold(day.plan), 1);
    caller = aPen("caller");
    mine = await aSession("judge-1", ["judge"], day.plan);
    mine.show(<JudgeScreen />);
    expect(screen.queryByText("Not called yet")).toBeNull();
    await act(async () => mine.notebook.linkIs("live"));
    expect(screen.getByText("Not called yet")).toBeTruthy();
    await call(0);
    expect(screen.queryByText("Not called yet")).toBeNull();
  });
});

describe("a performance shown to all judges", () => {
  const waits = () =>
    screen.queryByRole("link", { name: "A performance is shown to all judges: mark it now" });
  const shown = async (...more: AnyEntry[]) => {
    const tablet = await aSession(
      "judge-1",
      ["judge"],
      [...day.plan, anAnchor(day.chief, day.rubric), ...more],
    );
    tablet.show(<JudgeScreen />);
  };
  beforeEach(() => {
    day = aTestDay();
  });
  it("is found beside the call that waits, where nobody has called yet", async () => {
    await shown();
    expect(heading()).toBe("Rising block");
    expect(waits()?.getAttribute("href")).toBe("/tests/grading-1/own");
  });
  it("asks nothing more of who handed it in, nor of anybody after the first call", async () => {
    const pen = day.judges[0]?.pen;
    await shown(
      pen?.write("anchor-marked", {
        anchor: anAnchorId,
        marks: anchorLevels(day.rubric, 3),
      }) as AnyEntry,
    );
    expect(waits()).toBeNull();
    cleanup();
    const { section, item, side } = risingLeft;
    await shown(day.chief.write("called", { wave: 1, section, item, side }));
    expect(waits()).toBeNull();
  });
});

describe("the judge's screen", () => {
  beforeEach(async () => {
    day = aTestDay();
    steps = waveScript(fold(day.plan), 1);
    caller = aPen("caller");
    mine = await aSession("judge-1", ["judge"], day.plan);
    mine.notebook.link = "live";
    mine.show(<JudgeScreen />);
  });

  it("says that nothing is called, and then follows the caller", async () => {
    await call(0);
    expect(heading()).toBe("Rising block");
    expect(screen.getByText("left side")).toBeTruthy();
  });

  it("writes one entry for one tap, and the same cell tapped again is blank", async () => {
    await call(0);
    cell(/^1 .*chamber: blank/i).focus();
    await userEvent.keyboard("2");
    await settle();
    expect(
      mine.notebook.book.marks.cell(judge, one, { ...risingLeft, criterion: anId("chamber") })
        ?.level,
    ).toBe(2);
    expect(written()).toHaveLength(1);
    await userEvent.keyboard("0");
    await settle();
    expect(
      mine.notebook.book.marks.cell(judge, one, { ...risingLeft, criterion: anId("chamber") }),
    ).toBeUndefined();
  });

  it("[S161] “Not seen”, pressed again, takes back that word alone", async () => {
    await call(0);
    const unseen = () => screen.getByRole("button", { name: /^Not seen, 2/ });
    await userEvent.click(unseen());
    cell(/^1 .*chamber: blank/i).focus();
    await userEvent.keyboard("2");
    await userEvent.click(unseen());
    await settle();
    const { book } = mine.notebook;
    expect(book.marks.of(one, "now").map(({ level }) => level)).toEqual([2]);
    expect(book.marks.of("candidate-2" as CandidateId, "now")).toEqual([]);
    expect(unseen().getAttribute("aria-pressed")).toBe("false");
  });

  it("fills only asked, blank, seen cells with “rest”, in one entry a child, and undo takes the whole rest back at once", async () => {
    await call(0);
    cell(/^1 .*target: blank/i).focus();
    await userEvent.keyboard("1");
    await userEvent.click(screen.getByRole("button", { name: /^Not seen, 2/ }));
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    const book = mine.notebook.book;
    const marks = book.marks.of(one, "now");
    expect(
      marks.filter(({ how }) => how === "rest").map(({ criterion, level }) => [criterion, level]),
    ).toEqual([
      ["chamber", 3],
      ["extension", 3],
    ]);
    expect(marks.find(({ criterion }) => criterion === "target")).toMatchObject({
      level: 1,
      how: "tapped",
    });
    expect(book.marks.of("candidate-2" as CandidateId, "now").map(({ level }) => level)).toEqual([
      "not-seen",
      "not-seen",
      "not-seen",
    ]);
    expect(screen.getByText("All marked")).toBeTruthy();
    expect(written()).toHaveLength(4);
    for (const { body } of written()) {
      const { cells } = body as EntryBody<"mark">;
      expect(new Set(cells.map(({ candidate }) => candidate)).size).toBe(1);
    }
    const undo = screen.getByRole("button", { name: "Undo" });
    expect(undo.getAttribute("aria-disabled")).toBeNull();
    await userEvent.click(undo);
    await settle();
    expect(mine.notebook.book.marks.of(one, "now")).toHaveLength(1);
    expect(mine.notebook.book.marks.of("candidate-3" as CandidateId, "now")).toHaveLength(0);
  });

  it("[S157] shows that nothing is left to take back, before the first mark and after the last undo", async () => {
    await call(0);
    const isDead = () =>
      screen.getByRole("button", { name: "Undo" }).getAttribute("aria-disabled") === "true";
    expect(isDead()).toBe(true);
    cell(/^1 .*chamber: blank/i).focus();
    await userEvent.keyboard("2");
    await settle();
    expect(isDead()).toBe(false);
    await userEvent.click(screen.getByRole("button", { name: "Undo" }));
    await settle();
    expect(isDead()).toBe(true);
  });

  it("changes nothing under a finger: a new call waits as a card while the line is open, and is taken when it closes", async () => {
    await call(0);
    cell(/^1 .*chamber: blank/i).focus();
    await userEvent.keyboard("2");
    await call(1);
    expect(screen.getByText("left side")).toBeTruthy();
    expect(screen.getByRole("button", { name: /Next.*right side/ })).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    expect(screen.getByText("right side")).toBeTruthy();
  });

  it("keeps what was left blank as still open, opens it from the list, and comes back", async () => {
    await goesBackToWhatWasLeft();
    expect(screen.getByText("Earlier call")).toBeTruthy();
    expect(screen.getByText("left side")).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Back to now" }));
    expect(screen.getByText("right side")).toBeTruthy();
  });

  it("[T123] tells a judge what is asked at the call on the glass, each level in words, behind the key for all calls", async () => {
    await call(0);
    await userEvent.click(screen.getByRole("button", { name: /^(Calls|Still open)/ }));
    await userEvent.click(await screen.findByRole("button", { name: /^What is asked/ }));
    const dialog = await screen.findByRole("dialog", {
      name: "What is asked: Rising block, left side",
    });
    const terms = [...dialog.querySelectorAll("h3, dt, dd")].map(({ textContent }) => textContent);
    expect(terms.slice(0, 9)).toEqual([
      "Chamber",
      "Not yet",
      "not there",
      "Nearly",
      "nearly there",
      "Meets",
      "as the rank asks",
      "Strong",
      "beyond the rank",
    ]);
    await userEvent.click(within(dialog).getByRole("button", { name: "Close" }));
    expect(screen.queryByRole("dialog")).toBeNull();
  });

  // With one call open the key led to it, and from two that were open to each other: More could not be reached for the call on the floor.
  it("[S267] has the list of calls one tap away, whatever is still open", async () => {
    await leavesBlanks();
    await userEvent.click(screen.getByRole("button", { name: /Still open.*8 blank/ }));
    expect(await screen.findByRole("button", { name: /^More/ })).toBeTruthy();
    expect(screen.getByText("right side")).toBeTruthy();
  });

  it("[T120] asks for no blanks where the marks were opened without this judge, and says so in the list of calls", async () => {
    await goesBackToWhatWasLeft();
    await userEvent.click(screen.getByRole("button", { name: "Back to now" }));
    expect(screen.getByRole("button", { name: /Still open.*8 blank/ })).toBeTruthy();
    const chief = aPen("chief");
    chief.hear(mine.notebook.book.lamport);
    const reason = { id: anId("why"), digest: "0".repeat(64) };
    const all = day.candidates;
    const opens = chief.write("revealed", { section: risingLeft.section, candidates: all, reason });
    await act(async () => mine.notebook.take([opens], []));
    await settle();
    expect(screen.queryByRole("button", { name: /Still open/ })).toBeNull();
    await userEvent.click(screen.getByRole("button", { name: "Calls" }));
    expect(await screen.findByText(/opened without you/)).toBeTruthy();
    expect(screen.getByText(/Opened without your lock/)).toBeTruthy();
  });

  it("[T121] tells a judge who was taken out of the panel so", async () => {
    await call(0);
    const chief = aPen("chief");
    chief.hear(mine.notebook.book.lamport);
    const gives = chief.write("judge-replaced", { judge, by: "judge-2" as PersonId });
    const takes = chief.write("seated", { person: judge, roles: [] });
    await act(async () => mine.notebook.take([gives, takes], []));
    await settle();
    expect(screen.getByText(/took you out of the panel/)).toBeTruthy();
  });

  it("[T124] tells a judge whose places another has so, and asks again once they come back", async () => {
    await call(0);
    const chief = aPen("chief");
    const hear = async (body: object) => {
      chief.hear(mine.notebook.book.lamport);
      const line = chief.write("judge-replaced", body as never);
      await act(async () => mine.notebook.take([line], []));
      await settle();
    };
    await hear({ judge, by: "judge-2" });
    expect(screen.getByText(/gave your places to another judge/)).toBeTruthy();
    await hear({ judge: "judge-2", by: judge, places: [judge] });
    expect(screen.queryByText(/gave your places/)).toBeNull();
    expect(screen.getByRole("button", { name: /Rest of line/ })).toBeTruthy();
  });

  it("lets the judge step on alone when nobody calls", async () => {
    await act(async () => mine.notebook.linkIs("away"));
    expect(heading()).toBe("Rising block");
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    await userEvent.click(screen.getByRole("button", { name: /Next.*right side/ }));
    expect(screen.getByText("right side")).toBeTruthy();
  });

  it("follows the floor again at the first call after the judge stepped on alone", async () => {
    await call(0);
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await act(async () => mine.notebook.linkIs("away"));
    await settle();
    await userEvent.click(screen.getByRole("button", { name: /Next.*right side/ }));
    await pastDeafness();
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    expect(screen.getByText("right side")).toBeTruthy();

    // The hub is back, with what was called meanwhile: closed board, so nothing is under the finger.
    await act(async () => mine.notebook.linkIs("live"));
    expect(screen.getByText("right side")).toBeTruthy();
    await call(2);
    expect(heading()).toBe("Low block");
    expect(screen.queryByRole("button", { name: "Back to now" })).toBeNull();
  });

  it("does not follow from an earlier call that the judge opened by hand", async () => {
    await goesBackToWhatWasLeft();
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    await call(2);
    expect(heading()).toBe("Rising block");
    expect(screen.getByText("left side")).toBeTruthy();
  });

  it("offers the lock only when everything is marked or not seen, and locks what was given", async () => {
    for (const index of [0, 1, 3]) {
      await call(index);
      await pastDeafness();
      await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
      await settle();
    }
    expect(screen.queryByRole("button", { name: /^Lock blocks/ })).toBeNull();
    await call(4);
    await pastDeafness();
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    expect(heading()).toBe("Overall, blocks");
    // Nothing is filled at once here; how much is left is said.
    expect(screen.getByText("3 blank")).toBeTruthy();
    for (const number of [1, 2, 3]) {
      cell(new RegExp(`^${number} .*overall: blank`, "i")).focus();
      await userEvent.keyboard("3");
    }
    await settle();
    await userEvent.click(screen.getByRole("button", { name: /^Lock blocks/ }));
    await settle();
    expect(mine.notebook.book.openings.hasLocked(judge, one, "blocks" as SectionId)).toBe(true);
    const lock = written().find(({ kind }) => kind === "locked");
    expect(lock?.body).toMatchObject({ basis: { [lock?.device ?? ""]: (lock?.n ?? 0) - 1 } });
  });

  it("[T125] opens the list of calls at the first that is still open", async () => {
    const scrolled: (string | null)[] = [];
    Element.prototype.scrollIntoView = function () {
      scrolled.push(this.textContent);
    };
    await leavesBlanks();
    await userEvent.click(screen.getByRole("button", { name: /Still open.*8 blank/ }));
    await screen.findByRole("dialog", { hidden: true });
    expect(scrolled).toHaveLength(1);
    expect(scrolled[0]).toMatch(/^Rising block, left.*8 blank/);
    Reflect.deleteProperty(Element.prototype, "scrollIntoView");
  });

  it("[T126] says before a lock that nothing is blank, and not that what was not seen is marked", async () => {
    for (const index of [0, 1, 3, 4]) {
      await call(index);
      await pastDeafness();
      await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
      await settle();
    }
    for (const number of [1, 2, 3]) {
      cell(new RegExp(`^${number} .*overall: blank`, "i")).focus();
      await userEvent.keyboard("3");
    }
    await settle();
    const lock = screen.getByRole("button", { name: /^Lock blocks/ });
    expect(lock.textContent).toContain("nothing is blank");
    expect(lock.textContent).not.toContain("everything is marked");
  });

  it("says that it is locked and takes no more taps, until all have locked or the chief asks about a blank", async () => {
    await call(0);
    await userEvent.click(screen.getByRole("button", { name: /Rest of line/ }));
    await settle();
    const section = "blocks" as SectionId;
    const candidates = day.candidates;
    const { book } = mine.notebook;
    await act(async () => {
      for (const candidate of candidates)
        await mine.notebook.write("locked", lockBody(book, judge, section, candidate));
    });
    expect(screen.getByRole("status").textContent).toBe("Locked");
    const before = written().length;
    cell(/^1 .*chamber: meets/i).focus();
    await userEvent.keyboard("1");
    await settle();
    expect(written()).toHaveLength(before);

    const chief = aPen("chief");
    chief.hear(book.lamport);
    const ask = { ...risingLeft, candidate: one, judge, criterion: null, ask: "blank" as const };
    await act(async () => mine.notebook.take([chief.write("remark-asked", ask)], []));
    cell(/^1 .*chamber: meets/i).focus();
    await userEvent.keyboard("1");
    await settle();
    expect(written()).toHaveLength(before + 1);
    // It answers the question, until the judge says to have looked; then the row is closed again.
    expect(written().at(-1)?.body).toMatchObject({ answers: expect.any(String) });
    await userEvent.click(screen.getByRole("button", { name: "I have looked" }));
    await settle();
    expect(written().at(-1)?.kind).toBe("answered");
    cell(/^1 .*chamber/i).focus();
    await userEvent.keyboard("2");
    await settle();
    expect(written()).toHaveLength(before + 2);
  });

  /** One cell marked, and what is behind *More*. */
  async function openedMore(): Promise<HTMLElement> {
    await call(0);
    cell(/^1 .*chamber: blank/i).focus();
    await userEvent.keyboard("1");
    await userEvent.click(screen.getByRole("button", { name: /Calls|Still open/ }));
    await userEvent.click(await screen.findByRole("button", { name: /^More/ }));
    return screen.findByRole("dialog", { hidden: true });
  }

  it("[Y150] swaps two lanes and takes this judge's marks of the call with them, and Undo brings both back", async () => {
    const dialog = await openedMore();
    const keys = within(dialog).getAllByRole("button", { hidden: true });
    const named = (name: RegExp) =>
      keys.find((key) => name.test(key.textContent ?? "")) as HTMLElement;
    fireEvent.click(named(/^1/));
    fireEvent.click(named(/^3/));
    fireEvent.click(within(dialog).getByRole("button", { name: /^Swap 1/, hidden: true }));
    await settle();
    expect(mine.notebook.book.plan.lanes(1)).toEqual(["candidate-3", "candidate-2", "candidate-1"]);
    expect(
      mine.notebook.book.marks.cell(judge, "candidate-3" as CandidateId, {
        ...risingLeft,
        criterion: anId("chamber"),
      })?.level,
    ).toBe(1);
    expect(
      mine.notebook.book.marks.cell(judge, one, { ...risingLeft, criterion: anId("chamber") }),
    ).toBeUndefined();
    // The board is deaf for a moment after it has changed under a finger.
    await act(() => new Promise((done) => setTimeout(done, 600)));
    await userEvent.click(screen.getByRole("button", { name: "Undo" }));
    await settle();
    expect(mine.notebook.book.plan.lanes(1)).toEqual(["candidate-1", "candidate-2", "candidate-3"]);
    const levels = ["candidate-1", "candidate-3"].map(
      (who) =>
        mine.notebook.book.marks.cell(judge, who as CandidateId, {
          ...risingLeft,
          criterion: anId("chamber"),
        })?.level,
    );
    expect(levels).toEqual([1, undefined]);
  });

  describe("when another said a swap", () => {
    const swapped = async (...pair: [string, string]) => {
      caller.hear(mine.notebook.book.lamport);
      const swap = caller.write("lanes-swapped", {
        wave: 1,
        candidates: pair as [CandidateId, CandidateId],
      });
      await act(async () => mine.notebook.take([swap], []));
    };
    const band = () => screen.findByText(/have changed places/);
    const lanesMoved = () =>
      screen.findByText(/stand in other lanes now. What you marked before stays with the names/);
    const chamberOf = (who: string) =>
      mine.notebook.book.marks.cell(judge, who as CandidateId, {
        ...risingLeft,
        criterion: anId("chamber"),
      })?.level;
    const marked = async () => {
      await call(0);
      cell(/^1 .*chamber: blank/i).focus();
      await userEvent.keyboard("1");
      await settle();
    };

    it("[T115] the judge is asked whether the marks of that call go along, also on the next call; one Undo brings them back", async () => {
      await marked();
      await swapped("candidate-1", "candidate-3");
      expect((await band()).textContent).toBe(
        "1 and 3 have changed places. Your marks of Rising block, left side stayed with the names.",
      );
      await call(1);
      await userEvent.click(screen.getByRole("button", { name: /Next.*right side/ }));
      await pastDeafness();
      expect((await band()).textContent).toContain("Rising block, left side");
      await userEvent.click(screen.getByRole("button", { name: "My marks go along" }));
      await settle();
      expect([chamberOf("candidate-1"), chamberOf("candidate-3")]).toEqual([undefined, 1]);
      expect(screen.queryByText(/have changed places/)).toBeNull();
      await userEvent.click(screen.getByRole("button", { name: "Undo" }));
      await settle();
      expect([chamberOf("candidate-1"), chamberOf("candidate-3")]).toEqual([1, undefined]);
    });

    const linedUpAnew = async (lanes: string[]) => {
      const chief = aPen("chief");
      chief.hear(mine.notebook.book.lamport);
      const line = chief.write("lined-up", { wave: 1, lanes: lanes as CandidateId[] });
      await act(async () => mine.notebook.take([line], []));
    };
    // A stranger's judge lost a mark: two lanes traded places under the finger, and nobody said so.
    it("[T122] the judge is told when the chief writes the lanes anew under the hand, and not of what they swapped themselves", async () => {
      await marked();
      await linedUpAnew(["candidate-1", "candidate-3", "candidate-2"]);
      expect((await lanesMoved()).textContent).toMatch(/^3.*and 2/);
      await userEvent.click(screen.getByRole("button", { name: "Seen" }));
      expect(screen.queryByText(/in other lanes now/)).toBeNull();
      const own = { wave: 1, candidates: ["candidate-2", "candidate-3"], batch: "own" };
      await act(async () => void mine.notebook.write("lanes-swapped", own as never));
      await settle();
      expect(mine.notebook.book.plan.lanes(1)[1]).toBe("candidate-2");
      expect(screen.queryByText(/in other lanes now/)).toBeNull();
    });

    it("[S276] the judge is asked when the chief writes a marked child into another lane", async () => {
      await marked();
      await linedUpAnew(["candidate-2", "candidate-1", "candidate-3"]);
      expect((await band()).textContent).toContain("have changed places");
    });

    it("[S276] the judge is asked about every call, also where the lanes were written anew before the first, one answer after another", async () => {
      const { book } = mine.notebook;
      const chief = aPen("chief");
      chief.hear(book.lamport);
      const lanes = ["candidate-2", "candidate-1", "candidate-3"] as CandidateId[];
      const anew = chief.write("lined-up", { wave: 1, lanes });
      const caller = aPen("caller");
      caller.hear(anew.lamport);
      const [left, right] = waveScript(book, 1) as [Step, Step];
      // By the lanes of before, without a line.
      for (const { section, item, markedSide: side } of [left, right]) {
        const cells = [{ candidate: one, criterion: "chamber", level: 1, how: "tapped" }];
        await mine.notebook.write("mark", { section, item, side, lane: 1, cells } as never);
      }
      await act(async () =>
        mine.notebook.take([anew, caller.write("called", callBody(1, left))], []),
      );
      cleanup();
      mine.show(<JudgeScreen />);
      await settle();
      expect((await band()).textContent).toContain("Rising block, left side");
      await userEvent.click(screen.getByRole("button", { name: "My marks go along" }));
      await settle();
      expect((await band()).textContent).toContain("Rising block, right side");
    });

    it("[T115] “right as they are” moves nothing, and is not asked again on this device", async () => {
      await marked();
      await swapped("candidate-1", "candidate-3");
      await band();
      const before = written().length;
      await userEvent.click(screen.getByRole("button", { name: "They are right as they are" }));
      expect(screen.queryByText(/have changed places/)).toBeNull();
      expect(written()).toHaveLength(before);
      cleanup();
      mine.show(<JudgeScreen />);
      await settle();
      expect(screen.queryByText(/have changed places/)).toBeNull();
    });

    it("[T115] who marked neither is told that the lanes changed, and asked nothing; who locked one of them is told to tell the chief", async () => {
      await marked();
      await swapped("candidate-2", "candidate-3");
      await lanesMoved();
      expect(screen.queryByRole("button", { name: "My marks go along" })).toBeNull();
      await userEvent.click(screen.getByRole("button", { name: "Seen" }));
      expect(screen.queryByText(/in other lanes now/)).toBeNull();
      const lock = lockBody(mine.notebook.book, judge, risingLeft.section, one);
      await act(async () => void mine.notebook.write("locked", lock));
      await swapped("candidate-1", "candidate-3");
      expect((await band()).textContent).toContain("Tell the chief examiner.");
      expect(screen.queryByRole("button", { name: "My marks go along" })).toBeNull();
      await userEvent.click(screen.getByRole("button", { name: "They are right as they are" }));
      expect(screen.queryByText(/have changed places/)).toBeNull();
    });
  });

  it("[Y150] says which marks do not go along with a swap, and keeps them", async () => {
    const rubric = aRubric();
    const other = structuredClone(rubric);
    other.id = anId("other");
    for (const { items } of other.sections)
      for (const item of items)
        item.criteria = item.criteria.filter((one) => (one as string) !== "chamber");
    const chief = aPen("chief", "second-tablet");
    chief.hear(mine.notebook.book.lamport);
    await act(async () =>
      mine.notebook.take(
        [
          chief.write("frozen", { rubric: other }),
          chief.write("entered", {
            candidate: "candidate-3" as CandidateId,
            number: 3,
            rubric: other.id,
          }),
        ] as AnyEntry[],
        [],
      ),
    );
    const dialog = await openedMore();
    const named = (name: RegExp) =>
      within(dialog)
        .getAllByRole("button", { hidden: true })
        .find((key) => name.test(key.textContent ?? "")) as HTMLElement;
    fireEvent.click(named(/^1/));
    fireEvent.click(named(/^3/));
    expect(within(dialog).getByText(/Chamber is not marked alike for these two/)).toBeTruthy();
    fireEvent.click(within(dialog).getByRole("button", { name: /^Swap 1/, hidden: true }));
    await settle();
    expect(mine.notebook.book.plan.lanes(1)).toEqual(["candidate-3", "candidate-2", "candidate-1"]);
    expect(
      mine.notebook.book.marks.cell(judge, one, { ...risingLeft, criterion: anId("chamber") })
        ?.level,
    ).toBe(1);
  });

  it("[Y198] steps back from a child for good, in two taps, and asks for nothing more of that child", async () => {
    const dialog = await openedMore();
    const part = within(dialog)
      .getByText("Should you not judge one of these at all?")
      .closest("section") as HTMLElement;
    const key = (name: RegExp) => within(part).getByRole("button", { name, hidden: true });
    fireEvent.click(key(/^1/));
    expect(written().some(({ kind }) => kind === "recused")).toBe(false);
    expect(within(part).getByText(/There is no way back/)).toBeTruthy();
    fireEvent.click(key(/^Step back from 1/));
    await settle();
    expect(written().at(-1)).toMatchObject({
      kind: "recused",
      body: { candidate: one, section: null },
    });
    expect(mine.notebook.book.panel.judgesOf(one, risingLeft.section)).not.toContain(judge);
    expect(screen.queryByRole("gridcell", { name: /^1 .*chamber/i, hidden: true })).toBeNull();
    expect(screen.getByRole("gridcell", { name: /^3 .*chamber/i, hidden: true })).toBeTruthy();
  });

  it("never says a total, nor another judge's mark", async () => {
    await call(0);
    const other = day.judges[1]?.pen as ReturnType<typeof aPen>;
    other.hear(1000);
    await act(async () =>
      mine.notebook.take(
        [
          other.write("mark", {
            ...risingLeft,
            cells: [{ candidate: one, criterion: anId("chamber"), level: 1, how: "tapped" }],
          }),
        ],
        [],
      ),
    );
    expect(cell(/^1 .*chamber: blank/i)).toBeTruthy();
    expect(document.body.textContent).not.toMatch(/%|total|average/i);
  });

  it("stops the floor with one tap", async () => {
    await call(0);
    await userEvent.click(screen.getByRole("button", { name: /STOP/ }));
    await settle();
    expect(mine.notebook.book.floor.stop?.stopped).toBe(true);
  });
});
