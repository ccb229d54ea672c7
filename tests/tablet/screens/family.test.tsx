import { render, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, describe, expect, it, vi } from "vitest";
import shipped from "../../../scoring-rubrics/faults-and-cues.json" with { type: "json" };
import { familySheet } from "../../../src/belt-test/feedback/family-sheet.ts";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { HubDesk } from "../../../src/ports/hub-desk.ts";
import { FamilyScreen } from "../../../src/tablet/screens/family/family-screen.tsx";
import { SheetsScreen } from "../../../src/tablet/screens/sheets/sheets-screen.tsx";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aSession } from "../../builders/a-session.tsx";

const candidate = "candidate-1" as CandidateId;
const until = Date.UTC(2026, 5, 20, 10);

function aReleasedDay() {
  const { day, entries } = aMarkedDay();
  day.chief.hear(9999);
  const { basis } = fold(entries);
  const retestSections: [] = [];
  const verdict = { candidate, result: "pass", retestSections, computed: "pass", basis } as const;
  return [
    ...entries,
    day.chief.write("verdict", { ...verdict, retestSections: [] }),
    day.chief.write("sheet-released", { candidate }),
  ];
}

describe("a family's page", () => {
  it("[H32] shows the sheet, and until when it can be read", async () => {
    const library = FaultLibrary.parse(shipped);
    const sheet = familySheet(fold(aReleasedDay()), candidate, () => undefined, library);
    if (!sheet) throw new Error("no sheet");
    render(<FamilyScreen ask={async () => ({ ok: true, sheet, expiresAtMs: until })} />);
    await screen.findByText(/20 June 2026/);
    expect(screen.getAllByText(/You passed/).length).toBeGreaterThan(0);
    expect(screen.getByRole("button", { name: "Print, or keep as PDF" })).toBeTruthy();
  });

  it("[H32] says that a link opens nothing, and asks again where only the hub is away", async () => {
    const ask = vi.fn<HubDesk["sheet"]>();
    ask.mockResolvedValueOnce({ ok: false, fault: { code: "HUB_UNREACHABLE" } });
    ask.mockResolvedValueOnce({ ok: false, fault: { code: "LINK_WRONG" } });
    render(<FamilyScreen ask={() => ask("")} />);
    await screen.findByRole("heading", { name: "The sheet cannot be reached now" });
    await userEvent.click(screen.getByRole("button", { name: "Try again" }));
    await screen.findByRole("heading", { name: "There is no sheet here" });
    expect(screen.queryByRole("button")).toBeNull();
  });
});

describe("the chief's link for a family", () => {
  afterEach(() => vi.unstubAllGlobals());
  const link = { id: "a1", candidate, madeAtMs: until - 1e6, expiresAtMs: until };
  const another = { ...link, id: "b2", candidate: "candidate-2" as CandidateId };

  async function sheets(hub: Partial<HubDesk>, token: string | undefined) {
    const mine = await aSession("chief", ["chief"], aReleasedDay(), { hub });
    if (token !== undefined) mine.notebook.pass.token = token;
    mine.show(<SheetsScreen />, "/tests/grading-1/sheets");
    await screen.findByText("Released");
  }

  it("[H32] is shown once with its square, listed, and taken back", async () => {
    const made: unknown[] = [];
    const revoked: string[] = [];
    await sheets(
      {
        sheetLinks: async () => ({ ok: true, links: [another] }),
        makeSheetLink: async (...asked) => {
          made.push(asked);
          const addresses = ["http://localhost:8080", "http://192.168.1.9:8080/"];
          return { ok: true, link: { ...link, token: "secret" }, addresses };
        },
        revokeSheetLink: async (_token, _grading, id) => {
          revoked.push(id);
          return { ok: true, links: [another] };
        },
      },
      "chief-token",
    );
    await userEvent.click(screen.getByRole("button", { name: "Link for the family" }));
    await screen.findByText("None yet.");
    await userEvent.selectOptions(screen.getByLabelText("It works for"), "30 days");
    await userEvent.click(screen.getByRole("button", { name: "Make a link" }));
    const field = await screen.findByLabelText<HTMLInputElement>("The link");
    // The hall's address, not the laptop's name for itself.
    expect(field.value).toBe("http://192.168.1.9:8080/sheet#secret");
    expect(made).toEqual([["chief-token", "grading-1", candidate, 30]]);
    await userEvent.click(screen.getByRole("button", { name: "Take back" }));
    await screen.findByText("Taken back. It opens nothing any more.");
    expect(revoked).toEqual(["a1"]);
    expect(screen.queryByLabelText("The link")).toBeNull();
  });

  it("says what keeps the hub from making one", async () => {
    const fault = { code: "SHEET_NOT_RELEASED" } as const;
    const answers = {
      sheetLinks: async () => ({ ok: true as const, links: [] }),
      makeSheetLink: async () => ({ ok: false as const, fault }),
    };
    await sheets(answers, "chief-token");
    await userEvent.click(screen.getByRole("button", { name: "Link for the family" }));
    await userEvent.click(screen.getByRole("button", { name: "Make a link" }));
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toContain("is not released yet"),
    );
  });

  it("is not offered where there is no hub to keep it", async () => {
    await sheets({}, undefined);
    expect(screen.queryByRole("button", { name: "Link for the family" })).toBeNull();
  });
});
