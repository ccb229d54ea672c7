import { act, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { Fault } from "../../../src/book/faults.ts";
import type { DeviceId, GradingId, PersonId, SideRecordId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import type { BackupState, NamesKept } from "../../../src/line/doors.ts";
import { KeptScreen } from "../../../src/tablet/screens/kept/kept-screen.tsx";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { settle } from "../../builders/settle.ts";

const aRecord = (
  id: string,
  about: string,
  body: SideRecord["body"],
  kind: SideRecord["kind"] = "candidate",
): SideRecord => ({
  id: id as SideRecordId,
  grading: aGradingId,
  about: about as CandidateId | PersonId,
  kind,
  salt: "0".repeat(32),
  body,
});
const names = [
  aRecord("s-1", "candidate-1", { given: "Anya", family: "Frost" }),
  aRecord("s-2", "candidate-1", { text: "looks down" }, "text"),
  aRecord("s-3", "candidate-2", { given: "Ben" }),
  aRecord("s-4", "judge-1", { name: "Mara Quist" }, "person"),
];
const kept = (changes: Partial<BackupState> = {}): BackupState => ({
  folder: "/school/copies",
  everyMinutes: 10,
  kept: [{ file: "evenhand-1.sqlite", atMs: Date.UTC(2026, 5, 6, 9, 30), bytes: 2_300_000 }],
  failed: null,
  ...changes,
});

async function page(hub: Parameters<typeof aSession>[3] = {}, sides: SideRecord[] = names) {
  const mine = await aSession("chief", ["chief"], aTestDay().plan, { sides, ...hub });
  await act(async () => mine.notebook.tookRoles({ ...mine.notebook.pass, token: "t".repeat(30) }));
  mine.show(<KeptScreen />);
  await settle();
  return mine;
}

describe("what is kept", () => {
  it("lists everybody of whom names or texts are kept, candidates by number", async () => {
    await page();
    const lines = screen.getAllByRole("listitem").map(({ textContent }) => textContent);
    expect(lines).toEqual([
      "1 Anya Frost2 recordsErase …",
      "2 Ben1 recordErase …",
      " Mara Quist1 recordErase …",
    ]);
  });

  it("[S162] shows the chief what was written down at a stop, and by whom", async () => {
    const { notebook } = await page();
    await act(() =>
      notebook.write(
        "incident",
        { text: { id: "s-9" as SideRecordId, digest: "0".repeat(64) } },
        { sides: [aRecord("s-9", "chief", { text: "Slipped on the edge of the mat" }, "text")] },
      ),
    );
    await settle();
    const told = screen.getByRole("region", { name: "What was written down at a stop" });
    expect(told.textContent).toMatch(/\d\d:\d\d: Slipped on the edge of the mat/);
  });

  it("[S174] shows the chief why marks were opened without a judge, once for all children, and why a rubric was replaced", async () => {
    const { notebook } = await page();
    const said = (id: string, text: string) => ({
      reason: { id: id as SideRecordId, digest: "0".repeat(64) },
      more: { sides: [aRecord(id, "chief", { text }, "text")] },
    });
    const [one, two] = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];
    await act(async () => {
      for (const [candidate, id] of [
        [one, "s-9"],
        [two, "s-10"],
      ] as const) {
        const { reason, more } = said(id, "Her tablet fell into the water");
        const body = { section: anId("blocks"), candidates: [candidate], reason };
        await notebook.write("revealed", body, more);
      }
      const { reason, more } = said("s-11", "A floor was wrong");
      const rubric = { ...aRubric(), version: 2 };
      await notebook.write("rubric-replaced", { rubric, reason }, more);
    });
    await settle();
    const told = screen.getByRole("region", { name: "What the chief examiner gave a reason for" });
    const lines = within(told)
      .getAllByRole("listitem")
      .map((line) => line.textContent);
    expect(lines).toHaveLength(2);
    expect(lines[0]).toMatch(
      /\d\d:\d\d: Blocks of 1 and 2 opened without a judge\. Her tablet fell into the water/,
    );
    expect(lines[1]).toMatch(/version 2, took the place of the rubric before\. A floor was wrong/);
  });

  it("[S219] shows the chief why a child got another rubric in the middle of the test", async () => {
    const { notebook } = await page();
    await act(async () => {
      const rubric = aRubric();
      const reason = { id: "s-12" as SideRecordId, digest: "0".repeat(64) };
      const body = { candidate: "candidate-2" as CandidateId, number: 2, rubric: rubric.id };
      const sides = [aRecord("s-12", "candidate-2", { text: "Came with the higher belt" }, "text")];
      await notebook.write("entered", { ...body, reason }, { sides });
    });
    await settle();
    const told = screen.getByRole("region", { name: "What the chief examiner gave a reason for" });
    expect(told.textContent).toMatch(/2.* is tested by “.+”\. Came with the higher belt/);
  });

  it("[S244] shows the chief who came in on a further tablet, and nothing where nobody did", async () => {
    const { notebook } = await page();
    expect(screen.queryByText(/further tablet/i)).toBeNull();
    const line = aPen("chief", "door-1").write("let-in", {
      person: "judge-1" as PersonId,
      device: "spare" as DeviceId,
      decidedBy: "chief" as PersonId,
    });
    await act(async () => notebook.take([line], []));
    expect(
      screen.getByText(/^Somebody came in on a further tablet at .*, let in by Somebody\.$/),
    ).toBeTruthy();
  });

  it("forgets one person after a question, in the book and on the disk, and nobody else", async () => {
    const { notebook } = await page();
    await userEvent.click(screen.getByRole("button", { name: "Erase Anya Frost …" }));
    const question = screen.getByRole("dialog", { name: "Erase Anya Frost for good?" });
    expect(question.textContent).toMatch(/Nobody can bring this back/);
    expect(question.textContent).toMatch(/not closed/);
    await userEvent.click(within(question).getByRole("button", { name: "Erase for good" }));
    await settle();
    expect(notebook.book.erased.has("candidate-1")).toBe(true);
    expect((await notebook.store.sides(aGradingId)).map(({ id }) => id).sort()).toEqual([
      "s-3",
      "s-4",
    ]);
    expect(screen.queryByText(/Anya/)).toBeNull();
    expect(screen.getByText(/Ben/)).toBeTruthy();
  });

  it("[Y240] says of an erasing when the hub hears of it: now, when it is in reach, or with what waits for files", async () => {
    const { notebook } = await page();
    const told = async () => {
      await userEvent.click(screen.getByRole("button", { name: "Erase Anya Frost …" }));
      const question = screen.getByRole("dialog", { name: "Erase Anya Frost for good?" });
      const text = question.textContent;
      await userEvent.click(within(question).getByRole("button", { name: "Close" }));
      return text;
    };
    await act(async () => notebook.notes((pass) => ({ ...pass, token: "t".repeat(30) })));
    act(() => notebook.linkIs("live"));
    expect(await told()).toMatch(/from this device and from the hub now,/);
    act(() => notebook.linkIs("away"));
    expect(await told()).toMatch(/from the hub when this device next reaches it/);
    const fromFiles = { ids: [], waits: [], locks: [], since: 0 };
    await act(async () => notebook.notes((pass) => ({ ...pass, fromFiles })));
    for (const link of ["away", "live"] as const) {
      act(() => notebook.linkIs(link));
      const text = await told();
      expect(text).toMatch(
        /until then they stay on the hub, in its copies and on every other tablet/,
      );
      expect(text).not.toMatch(/from the hub now/);
    }
  });

  it("forgets everybody at once, and says then that nothing is kept", async () => {
    await page();
    await userEvent.click(screen.getByRole("button", { name: "Erase all names and texts …" }));
    await userEvent.click(screen.getByRole("button", { name: "Erase for good" }));
    expect(await screen.findByText(/No name and no text of this belt test is kept/)).toBeTruthy();
  });

  it("says when the last copy was made, where, and makes one more", async () => {
    const asked: (string | undefined)[] = [];
    await page({
      hub: {
        backups: async (_, now) => {
          asked.push(now);
          return { ok: true, backups: kept() };
        },
      },
    });
    expect(screen.getByText(/The last copy is of .+, 2\.3 MB.*\/school\/copies/)).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Copy now" }));
    await settle();
    expect(asked).toEqual([undefined, "now"]);
  });

  it("[Y131] says why no copy is handed out, and where it lies", async () => {
    const fault = {
      code: "COPY_SEALED",
      with: { title: "Summer", folder: "/school/copies" },
    } as const;
    await page({
      hub: {
        backups: async () => ({ ok: true, backups: kept() }),
        newestBackup: async () => ({ ok: false, fault }),
      },
    });
    await userEvent.click(screen.getByRole("button", { name: "Take the newest away" }));
    await settle();
    expect(screen.getByRole("alert").textContent).toMatch(/still closed.*Summer.*\/school\/copies/);
    expect(screen.getByText(/The last copy is of/)).toBeTruthy();
  });

  it("says in words that a copy failed, that there is none, or that the hub is away", async () => {
    const failed = { atMs: 0, fault: { code: "STORE_FULL" as const } };
    await page({
      hub: { backups: async () => ({ ok: true, backups: kept({ kept: [], failed }) }) },
    });
    expect(screen.getByRole("alert").textContent).toMatch(/came to nothing.*no room left/s);
    expect(screen.getByText(/No copy has been made yet/)).toBeTruthy();
    await page();
    expect(screen.getByText(/cannot be reached, so nothing is known/)).toBeTruthy();
  });

  it.each([
    [
      "[L118] a disk that does not answer",
      "silent",
      "",
      /came to nothing.*does not answer \(\/stick/s,
    ],
    [
      "[L119] an older copy that cannot go",
      "stays",
      "EPERM",
      /^\/stick.* cannot be removed \(EPERM\)/,
    ],
  ])("names %s", async (_, why, detail, said) => {
    const fault: Fault = { code: "BACKUP_FAILED", with: { why, file: "/stick/copy", detail } };
    const state = why === "stays" ? kept({ stays: fault }) : kept({ failed: { atMs: 0, fault } });
    await page({ hub: { backups: async () => ({ ok: true, backups: state }) } });
    expect(screen.getByRole("alert").textContent).toMatch(said);
  });

  it("says how many signed places of the record this device keeps, and where two of them part", async () => {
    const { notebook } = await page();
    expect(screen.getByText(/has not yet told this device/)).toBeTruthy();
    const head = (seq: number, chain: string) => ({
      grading: aGradingId,
      seq,
      chain: chain.repeat(64),
      key: "k",
      signature: "s",
    });
    const heads = [head(3, "a"), head(9, "a"), head(9, "b")];
    const partedAtMs = Date.UTC(2026, 5, 7);
    await act(async () => notebook.tookRoles({ ...notebook.pass, heads, partedAtMs }));
    expect(screen.getByText(/keeps 3 places .* newest is after entry 9/)).toBeTruthy();
    expect(screen.getByText(/two records that part at entry 9/)).toBeTruthy();
  });

  it("says what is due and by which rule, and tells the hub that it was shown", async () => {
    const shown: (readonly string[])[] = [];
    await page({ hub: withNames({ shown }) });
    const due = screen.getByRole("region", { name: "The names of a belt test are due to go" });
    expect(due.textContent).toMatch(
      /Winter belt test, .*2024.*: 40 people, due since .*2026.*Stays until you erase it/,
    );
    expect(shown).toEqual([["grading-9"]]);
    expect(screen.getByText(/Its names should go by .*2027/)).toBeTruthy();
  });

  it("erases a whole test's names after it has counted them, and not before", async () => {
    const asked: string[] = [];
    await page({ hub: withNames({ asked }) });
    await userEvent.click(
      screen.getByRole("button", { name: "Erase the names of Winter belt test …" }),
    );
    const question = screen.getByRole("dialog");
    expect(question.textContent).toMatch(/40 people with 97 records/);
    expect(asked).toEqual(["grading-9 dry"]);
    await userEvent.click(within(question).getByRole("button", { name: "Erase for good" }));
    await settle();
    expect(asked).toEqual(["grading-9 dry", "grading-9 for good"]);
    expect(screen.getByText("Erased: 40 people of Winter belt test.")).toBeTruthy();
  });

  it("lets the chief choose how long names are kept and whether they go by themselves, within bounds", async () => {
    const rules: (NamesKept["rule"] | undefined)[] = [];
    await page({ hub: withNames({ rules }) });
    const months = screen.getByLabelText("Months after the day of the test");
    expect((months as HTMLInputElement).value).toBe("12");
    await userEvent.clear(months);
    await userEvent.type(months, "121");
    await userEvent.click(screen.getByRole("button", { name: "Keep this" }));
    expect(screen.getByText("Write a whole number from 6 to 120.")).toBeTruthy();
    await userEvent.clear(months);
    await userEvent.type(months, "36");
    await userEvent.selectOptions(screen.getByLabelText("And then"), "itself");
    await userEvent.click(screen.getByRole("button", { name: "Keep this" }));
    await settle();
    expect(rules).toEqual([undefined, { months: 36, byItself: true }]);
    expect(screen.getByText("Kept.")).toBeTruthy();
  });
});

/** A hub that keeps names for a year, and names of two years ago. */
function withNames({
  shown = [] as (readonly string[])[],
  asked = [] as string[],
  rules = [] as (NamesKept["rule"] | undefined)[],
}): NonNullable<NonNullable<Parameters<typeof aSession>[3]>["hub"]> {
  const kept: NamesKept = {
    rule: { months: 12, byItself: false },
    tests: [
      {
        grading: "grading-9" as GradingId,
        title: "Winter belt test",
        date: "2024-12-07",
        due: "2026-01-07",
        state: "due",
        people: 40,
        goesFromMs: null,
      },
    ],
    gone: [],
  };
  return {
    namesKept: async (_, rule) => {
      rules.push(rule);
      return { ok: true, ...kept, rule: rule ?? kept.rule };
    },
    namesShown: async (_, gradings) => {
      shown.push(gradings);
      return { ok: true, ...kept };
    },
    eraseNames: async (_, grading, isDry) => {
      asked.push(`${grading} ${isDry ? "dry" : "for good"}`);
      return { ok: true, people: 40, records: 97 };
    },
  };
}
