import { screen, waitFor, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it } from "vitest";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { AnchorsScreen } from "../../../src/tablet/screens/anchors/anchors-screen.tsx";
import { OwnScreen } from "../../../src/tablet/screens/own/own-screen.tsx";
import { aGradingId } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anAnchor, anAnchorId, anchorLevels } from "../../builders/an-anchor.ts";
import { anId } from "../../builders/an-id.ts";

const day = aTestDay();
const named = makeSideRecord(
  {
    grading: aGradingId,
    about: "judge-1" as PersonId,
    kind: "person",
    body: { name: "Ines Invented" },
  },
  { random: (bytes) => new Uint8Array(bytes) },
);
const plan: AnyEntry[] = [
  ...day.plan,
  day.chief.write("seated", {
    person: "judge-1" as PersonId,
    roles: ["judge"],
    details: named.ref,
  }),
];
const chiefs = async (...more: AnyEntry[]) => {
  const chief = await aSession("chief", ["chief"], [...plan, ...more], { sides: [named.record] });
  chief.show(<AnchorsScreen />);
  return chief.notebook;
};

describe("a common standard", () => {
  it("shows a section to all judges and keeps the marks that were agreed", async () => {
    const { book } = await chiefs();
    await userEvent.selectOptions(
      screen.getByLabelText("Which section"),
      "White to yellow, junior: Blocks",
    );
    await userEvent.click(screen.getByRole("button", { name: "Ask all judges to mark it" }));
    await waitFor(() => expect(book.standards.anchors).toHaveLength(1));
    await userEvent.click(screen.getByText(/The agreed marks/));
    const once = screen.getByRole("region", { name: "The whole section" });
    await userEvent.click(
      within(within(once).getByRole("group", { name: "Spirit" })).getByLabelText("Nearly"),
    );
    await userEvent.click(screen.getByRole("button", { name: "Keep these marks" }));
    const [its] = book.standards.anchors;
    await waitFor(() =>
      expect(its && book.standards.agreed(its.anchor)?.body.marks).toEqual([
        { item: null, side: null, criterion: "spirit", level: 2 },
      ]),
    );
  });
  it("is off until the chief ticks it, and says why it is better left off", async () => {
    const { book } = await chiefs();
    const tick = screen.getByLabelText<HTMLInputElement>(
      "Correct for strictness by agreed performances",
    );
    expect(tick.checked).toBe(false);
    expect(
      screen.getByText(/computed panels, not with people, that made verdicts far worse/),
    ).toBeTruthy();
    await userEvent.click(tick);
    await waitFor(() => expect(book.standards.severitiesUsed.anchors).toBe(true));
  });
  const file = (grading: string) =>
    new File(
      [
        JSON.stringify({
          format: "evenhand-severities",
          version: 1,
          grading,
          date: "2025-06-06",
          judges: [
            { name: "inès  INVENTED", severity: 0.25, sd: 0.1 },
            { name: "Nobody Here", severity: 1, sd: 0.1 },
          ],
        }),
      ],
      "earlier.json",
      { type: "application/json" },
    );
  it("asks who is who before anything of an earlier test counts, and forgets it again", async () => {
    const { book } = await chiefs();
    await userEvent.upload(
      screen.getByLabelText("Open the file of an earlier test"),
      file("grading-0"),
    );
    const one = await screen.findByLabelText<HTMLSelectElement>("Nobody Here of that test is");
    const other = screen.getByLabelText<HTMLSelectElement>("inès INVENTED of that test is");
    expect([one.value, other.value]).toEqual(["nobody", "judge-1"]);
    expect(book.standards.keptSeverities).toEqual([]);
    // One person was one judge.
    await userEvent.selectOptions(one, "Ines Invented");
    await userEvent.click(screen.getByRole("button", { name: "Take these" }));
    expect(screen.getAllByText(/^This judge is chosen twice/)).toHaveLength(2);
    expect(book.standards.keptSeverities).toEqual([]);
    await userEvent.selectOptions(one, "nobody here");
    await userEvent.click(screen.getByRole("button", { name: "Take these" }));
    await waitFor(() => expect(book.standards.keptSeverities).toHaveLength(1));
    expect(book.standards.keptSeverities[0]).toMatchObject({
      judge: "judge-1",
      kept: { severity: 0.25 },
    });
    expect(screen.getByText("Known from this file: Ines Invented.")).toBeTruthy();
    expect(
      screen.getByText(
        /^Ines Invented, 6 June 2025: 0\.25 of a level lower than the standard, give or take 0\.10$/,
      ),
    ).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Forget" }));
    await waitFor(() => expect(book.standards.keptSeverities).toEqual([]));
  });
  it("guesses between nobody, and leaves a file alone when asked to", async () => {
    const twin = makeSideRecord(
      {
        grading: aGradingId,
        about: "judge-2" as PersonId,
        kind: "person",
        body: { name: "Inés Invented" },
      },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const seated = day.chief.write("seated", {
      person: "judge-2" as PersonId,
      roles: ["judge"],
      details: twin.ref,
    });
    const chief = await aSession("chief", ["chief"], [...plan, seated], {
      sides: [named.record, twin.record],
    });
    chief.show(<AnchorsScreen />);
    await userEvent.upload(
      screen.getByLabelText("Open the file of an earlier test"),
      file("grading-0"),
    );
    const other = await screen.findByLabelText<HTMLSelectElement>("inès INVENTED of that test is");
    expect(other.value).toBe("nobody");
    await userEvent.click(screen.getByRole("button", { name: "Leave it" }));
    expect(screen.queryByText(/^Who is who/)).toBeNull();
    expect(chief.notebook.book.standards.keptSeverities).toEqual([]);
  });
  it("refuses this very test's file and what is no such file", async () => {
    const { book } = await chiefs();
    const key = screen.getByLabelText("Open the file of an earlier test");
    await userEvent.upload(key, file(aGradingId));
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toMatch(/count the same marks twice/),
    );
    await userEvent.upload(key, new File(["{"], "x.json", { type: "application/json" }));
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toMatch(/^x\.json is not a file/),
    );
    expect(book.standards.keptSeverities).toEqual([]);
  });
});

describe("a performance shown to all judges", () => {
  const called = () =>
    day.chief.write("called", { wave: 1, section: anId("blocks"), item: null, side: null });
  it("is marked by a judge, who sees nothing of what was agreed", async () => {
    const judge = await aSession("judge-1", ["judge"], [...plan, anAnchor(day.chief, day.rubric)]);
    judge.show(<OwnScreen />);
    const once = screen.getByRole("region", { name: "The whole section" });
    await userEvent.click(
      within(within(once).getByRole("group", { name: "Stance" })).getByLabelText("Strong"),
    );
    await userEvent.click(screen.getByRole("button", { name: "Hand in" }));
    await waitFor(() =>
      expect(judge.notebook.book.standards.anchorMarks(anAnchorId, "judge-1" as PersonId)).toEqual([
        { item: null, side: null, criterion: "stance", level: 4 },
      ]),
    );
    expect(screen.getByText("1 of 10 marks")).toBeTruthy();
  });
  it("is gone from the judge's page once the floor has begun", async () => {
    const judge = await aSession(
      "judge-1",
      ["judge"],
      [...plan, anAnchor(day.chief, day.rubric), called()],
    );
    judge.show(<OwnScreen />);
    expect(screen.getByText("Not yet")).toBeTruthy();
  });
  it("tells the chief who has marked it", async () => {
    const marked = day.judges[0]?.pen.write("anchor-marked", {
      anchor: anAnchorId,
      marks: anchorLevels(day.rubric, 3),
    });
    await chiefs(anAnchor(day.chief, day.rubric), marked as AnyEntry);
    const line = screen.getByText(/^Marked by: Ines Invented/);
    expect(line.textContent).toMatch(/Still to mark it: .*Somebody/);
  });
  it("offers the chief nothing but taking it back once the floor was called, as the hub has it", async () => {
    const { book } = await chiefs(anAnchor(day.chief, day.rubric), called());
    expect(screen.getByText(/^The test has been called, so nothing more can be/)).toBeTruthy();
    expect(screen.queryByLabelText("Which section")).toBeNull();
    expect(screen.queryByRole("button", { name: "Ask all judges to mark it" })).toBeNull();
    expect(screen.queryAllByRole("radio")).toEqual([]);
    expect(screen.getByText(/Did not mark it: Ines Invented/)).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Remove this performance" }));
    await waitFor(() => expect(book.standards.anchors).toEqual([]));
    expect(screen.getByText(/so no performance can be added any more/)).toBeTruthy();
  });
  it("tells a chief who judges nothing of the others before the own marks are in", async () => {
    const seated = day.chief.write("seated", {
      person: "chief" as PersonId,
      roles: ["chief", "judge"],
    });
    await chiefs(seated, anAnchor(day.chief, day.rubric));
    expect(screen.getByText(/^You judge too: mark it yourself first/)).toBeTruthy();
    expect(screen.queryByText(/Still to mark it/)).toBeNull();
  });
});
