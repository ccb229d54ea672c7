import { act, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, describe, expect, it, vi } from "vitest";
import shipped from "../../../scoring-rubrics/faults-and-cues.json" with { type: "json" };
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { FreeText } from "../../../src/belt-test/scorebook/side-bodies.ts";
import type { SideRecordId } from "../../../src/book/identity.ts";
import { SheetsScreen } from "../../../src/tablet/screens/sheets/sheets-screen.tsx";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { settle } from "../../builders/settle.ts";

const one = "candidate-1" as CandidateId;
const three = "candidate-3" as CandidateId;

/** Candidate 1 and 2 pass, 3 is to come again for Blocks, unless the test says otherwise. */
async function sheets({
  rubric = aRubric(),
  verdicts = true,
  repeat = ["blocks"] as string[],
  library = undefined as FaultLibrary | undefined,
} = {}) {
  const { day, entries } = aMarkedDay({
    day: aTestDay({ rubric }),
    levelOf: (candidate, place) =>
      place.section === "etiquette"
        ? 2
        : candidate === three
          ? 2
          : place.criterion === "stance"
            ? 4
            : place.criterion === "target"
              ? 2
              : 3,
  });
  day.chief.hear(9999);
  const issued = verdicts
    ? day.candidates.map((candidate) =>
        day.chief.write("verdict", {
          candidate,
          result: candidate === three ? "retest" : "pass",
          retestSections: candidate === three ? (repeat as SectionId[]) : [],
          computed: candidate === three ? "retest" : "pass",
          reason: { id: "side-why" as SideRecordId, digest: "0".repeat(64) },
          basis: fold(entries).basis,
        }),
      )
    : [];
  const frozen = library ? [day.chief.write("faults-frozen", { library })] : [];
  const mine = await aSession("chief", ["chief"], [...entries, ...issued, ...frozen]);
  const view = mine.show(<SheetsScreen />, "/tests/grading-1/sheets");
  await screen.findByRole("navigation", { name: "Candidates" }).catch(() => undefined);
  await settle(60);
  return { ...mine, ...view };
}
const page = () => within(screen.getByRole("region", { name: /^The sheet of/ }));

describe("the sheets", () => {
  afterEach(() => vi.restoreAllMocks());

  it("say of somebody left over that the test was closed without a verdict", async () => {
    const { entries, day } = aMarkedDay();
    day.chief.hear(9999);
    const verdict = day.chief.write("verdict", {
      candidate: one,
      result: "pass",
      retestSections: [],
      computed: "pass",
      basis: fold(entries).basis,
    });
    const { notebook, show } = await aSession("chief", ["chief"], [...entries, verdict]);
    show(<SheetsScreen />, "/tests/grading-1/sheets");
    expect(screen.getAllByText("waits for a verdict")).toHaveLength(2);
    await act(async () => notebook.take([day.chief.write("closed", {})], []));
    expect(screen.queryByText("waits for a verdict")).toBeNull();
    expect(screen.getAllByText("closed without a verdict")).toHaveLength(2);
    await settle(60);
  });

  it("[S16] read as they were frozen, whatever the school's library says today", async () => {
    const library = FaultLibrary.parse(structuredClone(shipped));
    for (const one of library.practice) {
      one.childCue = "Frozen on the day.";
      one.childPractice = "Frozen practice.";
      one.cue = "Frozen on the day.";
      one.practice = "Frozen practice.";
    }
    await sheets({ library });
    expect(page().getAllByText(/Frozen (on the day|practice)\./).length).toBeGreaterThan(0);
  });

  it("says that sheets come with verdicts", async () => {
    await sheets({ verdicts: false });
    expect(screen.getByRole("heading", { name: "No sheet yet" })).toBeTruthy();
  });

  it("puts retests first, to be told privately, and shows the page as it is printed", async () => {
    await sheets();
    const list = within(screen.getByRole("navigation", { name: "Candidates" }));
    expect(list.getAllByRole("heading").map(({ textContent }) => textContent)).toEqual([
      "Retest",
      "Pass",
    ]);
    expect(list.getByText("Tell these privately, before any ceremony.")).toBeTruthy();
    expect(
      page().getByText("You have not passed yet. You can show some parts again."),
    ).toBeTruthy();
    expect(page().getByText("Show this part again: Blocks.")).toBeTruthy();
    expect(page().getByText("You keep this part: Etiquette.")).toBeTruthy();
    // 28 days after 6 June 2026, by the calendar.
    expect(page().getByText(/You can try again from 4 July 2026\./)).toBeTruthy();
    expect(page().getByText("Who helps: your instructor")).toBeTruthy();
  });

  it("asks to repeat what the chief issued, not what was computed", async () => {
    await sheets({ repeat: ["etiquette"] });
    expect(page().getByText("Show this part again: Etiquette.")).toBeTruthy();
    expect(page().getByText("You keep this part: Blocks.")).toBeTruthy();
  });

  it("has no number on a child's page but the one worn and the dates, and no other child", async () => {
    await sheets();
    const text = screen.getByRole("region", { name: /^The sheet of/ }).textContent ?? "";
    const without = text.replace(/^.*?6 June 2026\s*3/, "").replace(/\d+ \w+ 20\d\d/g, "");
    expect(without).not.toMatch(/\d\d|%|percent|panel|average/);
    expect(page().queryByText("Across the whole test")).toBeNull();
  });

  it("gives an adult the profile in words beside the line with its dots", async () => {
    await sheets({ rubric: aRubric({ audience: "adult" }) });
    await userEvent.click(screen.getByRole("button", { name: /^1 / }));
    await settle(400);
    expect(page().getByText("Across the whole test")).toBeTruthy();
    expect(page().getByText("Stance: Strong")).toBeTruthy();
    expect(page().getByText("Target: Nearly")).toBeTruthy();
    expect(page().getByText("Chamber: Meets")).toBeTruthy();
    expect(
      await page().findByRole("img", { name: "Each criterion beside the line that means Meets" }),
    ).toBeTruthy();
  });

  it("lets the chief choose other true lines and add a sentence, whose words stay out of the entry", async () => {
    const { notebook } = await sheets();
    await userEvent.click(screen.getByRole("button", { name: /^1 / }));
    const offered = within(screen.getByRole("group", { name: "What was good: two at most" }));
    const boxes = offered.getAllByRole<HTMLInputElement>("checkbox");
    const chosen = boxes.filter(({ checked }) => checked);
    expect(chosen.length).toBeGreaterThan(0);
    expect(chosen.length).toBeLessThanOrEqual(2);
    for (const box of chosen) await userEvent.click(box);
    const other = offered
      .getAllByRole<HTMLInputElement>("checkbox")
      .find((box) => !chosen.includes(box)) as HTMLInputElement;
    const words = other.closest("label")?.textContent ?? "";
    await userEvent.click(other);
    expect(page().getByText(words)).toBeTruthy();
    await userEvent.type(screen.getByRole("textbox"), "Well tried!");
    expect(page().getByText(/Well tried!/)).toBeTruthy();
    expect(page().getByText(/^Every other sentence here rests on/)).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Keep these changes" }));
    await settle();
    const edit = notebook.book.decisions.sheetEdit(one);
    expect(edit?.body.strong).toHaveLength(1);
    expect(JSON.stringify(edit)).not.toContain("tried");
    const kept = [...notebook.sides.values()].map(({ body }) => FreeText.parse(body).text);
    expect(kept).toEqual(["Well tried!"]);
    expect(screen.getByText("edited, not released")).toBeTruthy();
  });

  it("releases one sheet", async () => {
    const { notebook } = await sheets();
    await userEvent.click(screen.getByRole("button", { name: /^Release this sheet/ }));
    await settle();
    expect(notebook.book.decisions.release(three)).toBeDefined();
    expect(notebook.book.decisions.release(one)).toBeUndefined();
    expect(screen.getByText("1 of 3 released")).toBeTruthy();
  });

  it("[Y216] says of a sheet that was changed when it had gone out that it was", async () => {
    const { notebook } = await sheets();
    await userEvent.click(screen.getByRole("button", { name: /^Release this sheet/ }));
    await settle();
    expect(screen.getAllByText("released")).toHaveLength(1);
    await userEvent.type(screen.getByRole("textbox"), "Come and see me.");
    await userEvent.click(screen.getByRole("button", { name: "Keep these changes" }));
    await settle();
    expect(notebook.book.decisions.release(three)).toBeDefined();
    expect(screen.getByText("released, changed since")).toBeTruthy();
  });

  it("releases all only when those who come again have been told", async () => {
    const { notebook } = await sheets();
    await userEvent.click(screen.getByRole("button", { name: "Release 3 sheets" }));
    const dialog = within(screen.getByRole("dialog"));
    await userEvent.click(dialog.getByRole("button", { name: "Release all 3" }));
    await settle();
    expect(notebook.book.decisions.release(one)).toBeUndefined();
    expect(dialog.getByRole("alert").textContent).toBe("Say first that they have been told.");
    await userEvent.click(dialog.getByRole("checkbox"));
    await userEvent.click(dialog.getByRole("button", { name: "Release all 3" }));
    await settle();
    expect(notebook.book.decisions.release(one)).toBeDefined();
    expect(notebook.book.decisions.release(three)).toBeDefined();
  });

  it("hands the printer every page, and nothing else", async () => {
    const print = vi.fn();
    vi.stubGlobal("print", print);
    const { container } = await sheets();
    await userEvent.click(screen.getByRole("button", { name: /^Print all 3/ }));
    await settle(600);
    expect(print).toHaveBeenCalledOnce();
    expect(container.querySelectorAll("[data-part=print-stack] > article")).toHaveLength(3);
    await act(async () => dispatchEvent(new Event("afterprint")));
    expect(container.querySelectorAll("[data-part=print-stack] > article")).toHaveLength(1);
  });
});
