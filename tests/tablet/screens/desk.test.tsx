import { act, screen, waitFor, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { DeskScreen } from "../../../src/tablet/screens/desk/desk-screen.tsx";
import { candidateDetails } from "../../../src/tablet/session/names.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { settle } from "../../builders/settle.ts";

const one = "candidate-1" as CandidateId;
const named = [
  ["candidate-1", 1, "Anya", "Okoro-Lind"],
  ["candidate-2", 2, "Benoît", "Example"],
  ["candidate-3", 30, "Carla", "Example"],
] as const;

/** A desk with three named candidates in wave 1. */
async function aDesk(more: readonly AnyEntry[] = []) {
  const { plan, rubric } = aTestDay();
  const chief = aPen("chief", "chief-second");
  chief.hear(1000);
  const sides: SideRecord[] = [];
  const entered = named.map(([id, number, given, family]) => {
    const candidate = id as CandidateId;
    const { ref, record } = makeSideRecord(
      { grading: aGradingId, about: candidate, kind: "candidate", body: { given, family } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    sides.push(record);
    return chief.write("entered", { candidate, number, rubric: rubric.id, details: ref });
  });
  const session = await aSession("prentice", ["desk"], [...plan, ...entered, ...more], { sides });
  session.show(<DeskScreen />);
  return session;
}
const rows = () =>
  within(screen.getByRole("list", { name: "Candidates" })).getAllByRole("listitem");
const counts = () =>
  within(screen.getByRole("group", { name: "Who is shown" }))
    .getAllByRole("button")
    .map(({ textContent }) => textContent);
const press = async (name: string) => {
  await userEvent.click(screen.getByRole("button", { name }));
  await settle();
};

describe("the desk", () => {
  it("checks in with one tap, and the same tap again takes it back", async () => {
    const { notebook } = await aDesk();
    expect(counts()).toEqual(["3 all", "3 expected", "0 here", "0 away"]);
    await press("1 Anya is here");
    expect(notebook.book.floor.presence(one)).toBe("checked-in");
    expect(counts()).toEqual(["3 all", "2 expected", "1 here", "0 away"]);
    expect(
      screen.getByRole("button", { name: "1 Anya is here" }).getAttribute("aria-pressed"),
    ).toBe("true");
    await press("1 Anya is here");
    expect(notebook.book.floor.presence(one)).toBe("expected");
    await press("1 Anya is absent");
    expect(notebook.book.floor.presence(one)).toBe("absent");
    await press("1 Anya is here");
    expect(notebook.book.floor.presence(one)).toBe("checked-in");
  });

  const called = () => {
    const caller = aPen("caller", "caller-tablet");
    caller.hear(2000);
    const section = "blocks" as SectionId;
    return caller.write("called", {
      wave: 1,
      section,
      item: "rising-block" as ItemId,
      side: "left",
    });
  };
  it.each([
    ["absent", "absent", "Absent all the same"],
    ["unfit", "not fit today", "Not fit all the same"],
  ])(
    "[S153, Y164] takes a child who was called out only with a second step, and Undo stands beside it: %s",
    async (presence, word, sure) => {
      const { notebook } = await aDesk([called()]);
      await press("1 Anya is here");
      await press(`1 Anya is ${word}`);
      expect(notebook.book.floor.presence(one)).toBe("checked-in");
      await press("Leave as it is");
      expect(notebook.book.floor.presence(one)).toBe("checked-in");
      await press(`1 Anya is ${word}`);
      await press(sure);
      expect(notebook.book.floor.presence(one)).toBe(presence);
      expect(rows()[0]?.textContent).toContain("Not on the hub yet: tell the chief examiner.");
      const said = [...notebook.book.entries()].at(-1);
      await act(async () => notebook.acknowledged(said ? [said.id] : []));
      await settle();
      await waitFor(() => expect(rows()[0]?.textContent).toContain("The chief examiner is told."));
      await press("Undo, 1 Anya is here");
      expect(notebook.book.floor.presence(one)).toBe("checked-in");
      await press(`1 Anya is ${word}`);
      await press(sure);
      await press(`1 Anya is ${word}`);
      expect(notebook.book.floor.presence(one)).toBe("checked-in");
    },
  );

  it("tells where to stand, and shows the belt by its name", async () => {
    await aDesk();
    expect(rows()[2]?.textContent).toMatch(/30.*Carla Example.*yellow belt.*Wave 1, lane 3/);
  });

  it("says not fit with one tap and no reason; an optional word goes where only chief and desk read", async () => {
    const { notebook } = await aDesk();
    await press("1 Anya is not fit today");
    expect(notebook.book.floor.presence(one)).toBe("unfit");
    expect([...notebook.sides.values()].some(({ kind }) => kind === "health")).toBe(false);
    await userEvent.type(
      screen.getByLabelText("A word for the chief examiner"),
      "Came to watch{Enter}",
    );
    await settle();
    const [health] = [...notebook.sides.values()].filter(({ kind }) => kind === "health");
    expect(health).toMatchObject({ about: one, body: { text: "Came to watch" } });
    const entry = [...notebook.book.entries()].findLast(({ kind }) => kind === "unfit");
    expect(entry?.body).toMatchObject({ details: { id: health?.id } });
    expect(JSON.stringify([...notebook.book.entries()])).not.toContain("Came to watch");
    await press("1 Anya is not fit today");
    expect(notebook.book.floor.presence(one)).toBe("expected");
  });

  it("finds by the beginning of a number or of any part of a name, without accents; Enter checks in the one that is left", async () => {
    const { notebook } = await aDesk();
    const search = screen.getByLabelText("Number or name");
    const shown = async (text: string) => {
      await userEvent.clear(search);
      await userEvent.type(search, text);
      return rows().map((row) => row.querySelector("b")?.textContent);
    };
    expect(await shown("3")).toEqual(["30"]);
    expect(await shown("lind")).toEqual(["1"]);
    expect(await shown("exam")).toEqual(["2", "30"]);
    await userEvent.keyboard("{Enter}");
    await settle();
    expect(counts()[2]).toBe("0 here");
    expect(await shown("BENOIT ex")).toEqual(["2"]);
    await userEvent.keyboard("{Enter}");
    await settle();
    expect(notebook.book.floor.presence("candidate-2" as CandidateId)).toBe("checked-in");
    expect((search as HTMLInputElement).value).toBe("");
    await userEvent.type(search, "zz");
    expect(screen.getByRole("heading", { name: "Nobody with “zz”" })).toBeTruthy();
    await press("Show all");
    expect(rows()).toHaveLength(3);
  });

  it("leaves a row where it was tapped until the list is asked for anew", async () => {
    await aDesk();
    await press("3 expected");
    await press("1 Anya is here");
    expect(rows()).toHaveLength(3);
    await press("2 expected");
    expect(rows()).toHaveLength(2);
    await press("1 here");
    expect(rows().map((row) => row.querySelector("b")?.textContent)).toEqual(["1"]);
  });

  it("enters somebody who came late: in the book, here, and in no wave", async () => {
    const { notebook } = await aDesk();
    await press("Late entry");
    const dialog = within(screen.getByRole("dialog", { name: "Enter a late candidate" }));
    expect(dialog.getByLabelText<HTMLInputElement>(/Number/).value).toBe("31");
    await userEvent.clear(dialog.getByLabelText(/Number/));
    await userEvent.type(dialog.getByLabelText(/Number/), "30");
    await userEvent.type(dialog.getByLabelText(/Given name/), "Otto");
    await userEvent.selectOptions(dialog.getByLabelText(/Tested by/), "White to yellow, junior");
    await userEvent.click(dialog.getByRole("button", { name: "Add" }));
    expect(dialog.getByText("Number 30 is Carla’s.")).toBeTruthy();
    await userEvent.clear(dialog.getByLabelText(/Number/));
    await userEvent.type(dialog.getByLabelText(/Number/), "31{Enter}");
    await settle();
    const otto = notebook.book.plan.entrants.find(({ number }) => number === 31)?.candidate;
    expect(otto && candidateDetails(notebook, otto)).toEqual({ given: "Otto" });
    expect(otto && notebook.book.floor.presence(otto)).toBe("checked-in");
    expect(screen.getByText(/31 Otto is entered and here/)).toBeTruthy();
    expect(rows()[3]?.textContent).toContain("No wave yet");
  });

  it("has the stop that every role has while the test runs, and no keys for a withdrawn child", async () => {
    const chief = aPen("chief", "chief-third");
    chief.hear(2000);
    const { notebook } = await aDesk([
      chief.write("withdrawn", { candidate: one, why: "own-wish" }),
    ]);
    expect(screen.queryByRole("button", { name: "1 Anya is here" })).toBeNull();
    expect(rows()[0]?.textContent).toContain("withdrawn");
    await press("STOP, someone is hurt");
    expect(notebook.book.floor.stop?.stopped).toBe(true);
  });

  it("can be read and not changed when the test is closed", async () => {
    const chief = aPen("chief", "chief-third");
    chief.hear(2000);
    const { notebook } = await aDesk([chief.write("closed", {})]);
    const before = notebook.book.size;
    await press("1 Anya is here");
    await userEvent.type(screen.getByLabelText("Number or name"), "lind{Enter}");
    expect(notebook.book.size).toBe(before);
    expect(screen.getByText("The test is closed.")).toBeTruthy();
  });
});
