import { act, render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { MemoryRouter, Route, Routes } from "react-router";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { scaleOf } from "../../../src/belt-test/rubric/scale.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { FreeText } from "../../../src/belt-test/scorebook/side-bodies.ts";
import { heldOf } from "../../../src/belt-test/scorebook/what-was-held.ts";
import type { Basis } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { CandidateScreen } from "../../../src/tablet/screens/candidate/candidate-screen.tsx";
import { ServicesProvider, SessionProvider } from "../../../src/tablet/session/services.tsx";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { settle } from "../../builders/settle.ts";

const one = "candidate-1" as CandidateId;
const two = "candidate-2" as CandidateId;
type Level = Parameters<typeof aMarkedDay>[0];

async function page(
  entries: readonly AnyEntry[],
  candidate = one,
  sides: SideRecord[] = [],
  /** Let in by a hub; without one nobody can be asked anything. */
  token: string | undefined = "a-token-of-the-hub",
) {
  const mine = await aSession("chief", ["chief"], entries, {
    sides,
    ...(token ? { token } : {}),
  });
  render(
    <ServicesProvider services={mine.services}>
      <SessionProvider session={mine.session}>
        <MemoryRouter initialEntries={[`/tests/grading-1/chief/candidates/${candidate}`]}>
          <Routes>
            <Route
              path="/tests/:grading/chief/candidates/:candidate"
              element={<CandidateScreen />}
            />
          </Routes>
        </MemoryRouter>
      </SessionProvider>
    </ServicesProvider>,
  );
  return mine;
}
const level =
  (blocks: number): NonNullable<NonNullable<Level>["levelOf"]> =>
  (_, place) =>
    place.section === "etiquette" ? 2 : blocks;
/** Judge 1 alone says Not yet of the left rising block's chamber. */
const oneGap: NonNullable<NonNullable<Level>["levelOf"]> = (_, place, judge) =>
  place.section === "etiquette"
    ? 2
    : judge === "judge-1" && place.side === "left" && place.criterion === "chamber"
      ? 1
      : 3;
const heading = () => screen.getAllByRole("heading", { level: 2 })[0]?.textContent;
/** The page when the first judge is asked to look again at one cell, and that judge's word of having done so. */
async function askedAgain(levelOf: NonNullable<NonNullable<Level>["levelOf"]>) {
  const { entries, day } = aMarkedDay({ levelOf });
  const [judge] = day.judges;
  if (!judge) throw new Error("a judge");
  day.chief.hear(9999);
  const section = "blocks" as SectionId;
  const ask = day.chief.write("remark-asked", {
    judge: judge.person,
    candidate: one,
    section,
    item: "rising-block" as ItemId,
    side: "left",
    criterion: "chamber" as CriterionId,
    ask: "talk",
  });
  const body = { request: ask.id, candidate: one, section, basis: {} as Basis };
  return { mine: await page([...entries, ask]), answer: judge.pen.write("answered", body) };
}

describe("a candidate before the chief", () => {
  it("says how sure the result is in words first, and the fewest marks that would make it another", async () => {
    await page(
      aMarkedDay({
        day: aTestDay({ candidates: 6 }),
        levelOf: (candidate, place, judge) =>
          place.section === "etiquette"
            ? 2
            : 3 -
              Number(
                Math.sin(
                  5 * candidate.charCodeAt(10) +
                    3 * judge.charCodeAt(6) +
                    7 * place.criterion.length,
                ) > 0.5,
              ),
      }).entries,
    );
    const sure = screen.getByRole("region", { name: "How sure this is" });
    expect(sure.textContent).toMatch(
      /(Clear|Close|Too close to call)\. Of 100 equally good panels, (\d+|nearly all) would pass /,
    );
    expect(sure.textContent).toMatch(
      /It would be a retest if (any )?\d+ marks were one level lower/,
    );
    expect(sure.textContent).not.toMatch(/[{}]|undefined|none/);
  });
  it("[Y243] says of a total only that it is short where it is, also of a rubric by which everything is repeated", async () => {
    const its = aRubric();
    const rubric = {
      ...its,
      pass: { ...its.pass, mark: 40 },
      retest: { ...its.retest, scope: "whole" as const },
      sections: its.sections.map((section) =>
        section.id === "blocks" ? { ...section, floor: 60 } : section,
      ),
    };
    await page(aMarkedDay({ day: aTestDay({ rubric }), levelOf: level(2) }).entries);
    expect(heading()).toMatch(/^Retest/);
    expect(screen.queryByText(/To pass, at least/)).toBeNull();
  });

  it("[Y244] says that marks were given by another scale than the child is tested by now, and the way back", async () => {
    const { entries, day } = aMarkedDay({ levelOf: level(3) });
    const scale = scaleOf(day.rubric);
    const given = entries.map((entry) =>
      entry.kind === "mark" ? { ...entry, body: { ...(entry.body as object), scale } } : entry,
    ) as AnyEntry[];
    day.chief.hear(9999);
    const fewer = { levels: day.rubric.scale.levels.slice(1), meetsLevel: 2 };
    const other = { ...aRubric(), id: "other" as typeof day.rubric.id, scale: fewer };
    const corrected = [
      day.chief.write("frozen", { rubric: other }),
      day.chief.write("entered", { candidate: one, number: 1, rubric: other.id }),
    ];
    await page([...given, ...corrected]);
    expect(screen.getByRole("alert").textContent).toMatch(
      /^\d+ marks were given by another scale, and say nothing now\. ?Since then this child is tested by/,
    );
  });

  it("[Y198] says who stepped back from this child", async () => {
    const { entries, day } = aMarkedDay({ day: aTestDay({ judges: 3 }), levelOf: level(3) });
    const [, , third] = day.judges;
    const back = third?.pen.write("recused", { candidate: one, section: null });
    await page([...entries, back as AnyEntry]);
    expect(screen.getByText(/stepped back from this child\.$/)).toBeTruthy();
  });

  it("says that it supposes a judge was no kinder to an own student, where one said so", async () => {
    const { day, entries } = aMarkedDay();
    const related = day.judges[0]?.pen.write("related", {
      candidate: "candidate-1" as CandidateId,
      relation: "own-student",
    });
    await page([...entries, ...(related ? [related] : [])]);
    expect(screen.getByRole("region", { name: "How sure this is" }).textContent).toMatch(
      /supposes that Somebody marked .*, an own student, no kinder/,
    );
  });
  it("names every mark that would turn it, with its section, and the levels", async () => {
    // The first judge alone is a level low on the left, so that some marks weigh more than others.
    await page(
      aMarkedDay({
        levelOf: (_, place, judge) =>
          place.section === "etiquette" ? 2 : judge === "judge-3" && place.side ? 1 : 2,
      }).entries,
    );
    const sure = screen.getByRole("region", { name: "How sure this is" });
    const [, count] = /It would be a pass if (\d+) marks? were one level higher\./.exec(
      sure.textContent ?? "",
    ) as RegExpExecArray;
    expect(
      within(sure)
        .getByText(/^Which marks, for example$/)
        .closest("details")?.open,
    ).toBe(false);
    const marks = within(sure).getAllByRole("listitem", { hidden: true });
    expect(marks.length).toBeLessThanOrEqual(Number(count));
    expect(marks.length).toBeGreaterThan(1);
    for (const { textContent } of marks)
      expect(textContent).toMatch(
        /^Somebody, Blocks: “[^”]+”(, marked once| of “[^”]+”(, (left|right) side)?), “(Nearly|Meets|Strong)” instead of “(Not yet|Nearly|Meets)”$/,
      );
  });
  it("says why it cannot say how sure, where only one judge marked", async () => {
    await page(aMarkedDay({ day: aTestDay({ judges: 1 }) }).entries);
    expect(
      screen.getByText(/^How sure this is cannot be said: only one judge marked/),
    ).toBeTruthy();
  });
  it("shows what each judge's marks alone would come to, and why nothing is adjusted", async () => {
    await page(
      aMarkedDay({
        levelOf: (_, place, judge) =>
          place.section === "etiquette" ? 2 : judge === "judge-3" ? 2 : 3,
      }).entries,
    );
    const whole = screen.getByRole("region", { name: "The whole test, judge by judge" });
    expect(within(whole).getByText("pass mark 60 %")).toBeTruthy();
    expect(within(whole).queryByText("Meets")).toBeNull();
    // By hand: (3 × 66.7 + 100) / 4 = 75.025 by two judges, (3 × 33.3 + 100) / 4 = 49.975 by the third; the middle of the sum is 66.675.
    const said = within(whole)
      .getAllByRole("listitem")
      .map(({ textContent }) => textContent);
    expect(said).toEqual([
      expect.stringMatching(/75\.0 %$/),
      expect.stringMatching(/75\.0 %$/),
      expect.stringMatching(/50\.0 %$/),
      "panel mark 66.7 %",
    ]);
    expect(within(whole).getByText(/^Not adjusted: every judge marked everybody/)).toBeTruthy();
  });
  it("says the result in words, and why, before any mark", async () => {
    await page(aMarkedDay().entries);
    expect(heading()).toBe("Pass");
    // By hand: (3 × 66.7 + 100) / 4 = 75.025, rounded half up to 0.1.
    expect(screen.getByText("75 %, needs 60 %.")).toBeTruthy();
    expect(screen.getByText("Every section is at or above its floor.")).toBeTruthy();
    expect(screen.getByText("No open question could change it.")).toBeTruthy();
  });

  it("names the section below its floor, with both numbers", async () => {
    await page(aMarkedDay({ levelOf: level(2) }).entries);
    expect(heading()).toBe("Retest: Blocks");
    expect(screen.getByText("Blocks is below its floor: 33.3 %, needs 40 %.")).toBeTruthy();
  });

  it("shows nothing of marks before reveal: how much is in, and whom it waits for", async () => {
    const { entries } = aMarkedDay({
      levelOf: (_, place, judge) =>
        place.section === "etiquette" ? 2 : judge === "judge-1" ? 1 : 4,
      locks: (judge) => judge !== "judge-3",
    });
    await page(entries);
    expect(heading()).toBe("Not open yet");
    const waits = within(screen.getByRole("region", { name: "It waits for" }));
    expect(waits.getAllByText("3 of 3 judges have marked all")).toHaveLength(2);
    expect(waits.getAllByText("to lock: Somebody")).toHaveLength(2);
    expect(screen.queryByText(/Not yet|Strong|apart|%/)).toBeNull();
    expect(screen.queryByRole("button", { name: /^Pass/ })).toBeNull();
    expect(screen.getByText("A verdict comes when marks are open.")).toBeTruthy();
  });

  it("[Y215] says of a child who left whose lock is missing where others have locked, and nothing of what nobody locked", async () => {
    const { entries, day } = aMarkedDay({
      locks: (judge, section) => section === "blocks" && judge !== "judge-3",
    });
    await page([...entries, day.chief.write("withdrawn", { candidate: one, why: "unwell" })]);
    const waits = within(screen.getByRole("region", { name: "It waits for" }));
    expect(waits.getAllByRole("listitem")).toHaveLength(1);
    expect(waits.getByText("Blocks")).toBeTruthy();
    expect(
      waits.getByText(/^Somebody had not locked when this child left.*on the board/),
    ).toBeTruthy();
  });

  describe("[Y218] of a child who has withdrawn", () => {
    const withdraw = (person: string, why: "hurt" | "own-wish", after: number) => {
      const pen = aPen(person);
      pen.hear(after);
      return pen.write("withdrawn", { candidate: one, why });
    };
    const key = () => screen.queryByRole("button", { name: "Here after all" });

    it("lets the chief take it back, and names what it showed, and what follows", async () => {
      const { entries } = aMarkedDay();
      const [hurt, wish] = [withdraw("judge-1", "hurt", 900), withdraw("desk", "own-wish", 990)];
      const { notebook } = await page([...entries, hurt, wish]);
      await userEvent.click(key() as HTMLElement);
      const dialog = within(screen.getByRole("dialog"));
      expect(dialog.getAllByRole("listitem").map(({ textContent }) => textContent)).toEqual([
        expect.stringMatching(/^Somebody said at .* withdrawn: hurt\.$/),
        expect.stringMatching(/^Somebody said at .* withdrawn: own wish\.$/),
      ]);
      expect(dialog.getByText(/judges are asked again .* A sheet that bears no/)).toBeTruthy();
      await userEvent.click(dialog.getByRole("button", { name: "Not now" }));
      expect(notebook.book.floor.presence(one)).toBe("withdrawn");
      await userEvent.click(key() as HTMLElement);
      await userEvent.click(screen.getByRole("button", { name: "Take both back" }));
      await settle();
      expect(notebook.book.floor.presence(one)).toBe("checked-in");
      expect([...notebook.book.entries()].at(-1)?.body).toEqual({
        candidate: one,
        why: null,
        withdrawals: [hurt.id, wish.id],
      });
      expect(screen.queryByRole("dialog")).toBeNull();
      expect(key()).toBeNull();
      expect(heading()).toBe("Pass");
      // Of one that nobody here had heard of the page says so again.
      await act(async () => notebook.take([withdraw("judge-2", "hurt", 800)], []));
      expect(heading()).toBe("Withdrawn");
      expect(key()).toBeTruthy();
    });

    it("lets the chief do so when the test is closed, and says that nothing more is marked", async () => {
      const { entries, day } = aMarkedDay();
      const closed = day.chief.write("closed", {});
      const { notebook } = await page([...entries, closed, withdraw("desk", "hurt", 990)]);
      await userEvent.click(key() as HTMLElement);
      expect(screen.getByText(/is closed: nothing more is marked/)).toBeTruthy();
      await userEvent.click(screen.getByRole("button", { name: "Take it back" }));
      await settle();
      expect(notebook.book.floor.presence(one)).toBe("checked-in");
    });

    it("says that the desk's word stands of whoever does not take part by it, and offers nobody else the key", async () => {
      const { entries, day } = aMarkedDay();
      const absent = day.chief.write("absent", { candidate: one });
      const { notebook } = await page([...entries, absent]);
      expect(key()).toBeNull();
      await act(async () => notebook.take([withdraw("desk", "hurt", 990)], []));
      await userEvent.click(key() as HTMLElement);
      expect(screen.getByText(/does not take part today still stands/)).toBeTruthy();
      await userEvent.click(screen.getByRole("button", { name: "Take it back" }));
      await settle();
      expect(heading()).toBe("Not here today");
    });
  });

  it("shows in a closed test what was marked of somebody who left, and that it counts for nothing", async () => {
    const { entries, day } = aMarkedDay({ levelOf: oneGap, locks: () => false });
    const gone = day.chief.write("withdrawn", { candidate: one, why: "hurt" });
    await page([...entries, gone, day.chief.write("closed", {})]);
    expect(heading()).toBe("Withdrawn");
    expect(screen.getAllByText("kept, not locked: counts for nothing")).toHaveLength(2);
    expect(screen.getByText("Not yet, not locked, counts for nothing")).toBeTruthy();
    expect(screen.queryByText(/^panel mark \d/)).toBeNull();
  });

  it("[S159] shows beside those marks what was said of the section as a whole", async () => {
    const { entries, day } = aMarkedDay({ levelOf: oneGap, locks: () => false });
    const [judge] = day.judges;
    const said = judge?.pen.write("overall", {
      candidate: one,
      section: "blocks" as SectionId,
      judgement: 2,
    });
    const gone = day.chief.write("withdrawn", { candidate: one, why: "hurt" });
    const closed = day.chief.write("closed", {});
    await page([...entries, ...(said ? [said as AnyEntry] : []), gone, closed]);
    expect(screen.getByText(/borderline.*counts for nothing/)).toBeTruthy();
  });

  it("[S158] says whom a verdict waits for while a judge is asked to look again, and offers it as computed after that", async () => {
    const { mine, answer } = await askedAgain(level(3));
    const pass = screen.getByRole("button", { name: /^Pass\s*waits for Somebody/ });
    await userEvent.click(pass);
    expect(screen.getByText(/was asked to look again and has not answered/)).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Not now" }));
    await act(async () => mine.notebook.take([answer], []));
    expect(screen.getByRole("button", { name: /^Pass\s*as computed/ })).toBeTruthy();
  });

  it("says of a cell whom the chief has asked again, and then that they have looked", async () => {
    const { mine, answer } = await askedAgain(oneGap);
    expect(screen.getByText(/: asked again$/)).toBeTruthy();
    await act(async () => mine.notebook.take([answer], []));
    expect(screen.queryByText(/: asked again$/)).toBeNull();
    expect(screen.getByText(/: looked again$/)).toBeTruthy();
  });

  it("says of somebody left over that the test was closed without a verdict, and waits for nobody", async () => {
    const { entries, day } = aMarkedDay({ locks: () => false });
    await page([...entries, day.chief.write("closed", {})]);
    expect(heading()).toBe("Closed without a verdict");
    expect(screen.queryByText("It waits for")).toBeNull();
  });

  it("waits only for what is still closed, and shows the open section without a result", async () => {
    const { entries } = aMarkedDay({
      locks: (judge, section) => section === "etiquette" || judge !== "judge-3",
    });
    await page(entries);
    const waits = within(screen.getByRole("region", { name: "It waits for" }));
    expect(waits.getAllByRole("listitem")).toHaveLength(1);
    expect(waits.getByText("Blocks")).toBeTruthy();
    const marks = within(screen.getByRole("region", { name: "Marks by section" }));
    expect(marks.getByText("Etiquette")).toBeTruthy();
    expect(marks.queryByText("Blocks")).toBeNull();
    expect(screen.getByText("There is a result when every section is open.")).toBeTruthy();
  });

  it("puts every judge's mark side by side and says the panel mark", async () => {
    await page(aMarkedDay({ levelOf: oneGap }).entries);
    const marks = within(screen.getByRole("region", { name: "Marks by section" }));
    const threads = marks.getAllByRole("listitem").map(({ textContent }) => textContent);
    expect(threads).toContain("SomebodyNot yet");
    // By hand: (1 + 3 + 3) / 3 = 2.33.
    expect(threads).toContain("panel mark 2.33");
    expect(threads).toContain("all 3: Meets");
  });

  it("asks judges to look at one cell again", async () => {
    const { notebook } = await page(aMarkedDay({ levelOf: oneGap }).entries);
    await userEvent.click(
      screen.getByRole("button", { name: "Ask about Chamber, Rising block left" }),
    );
    const dialog = within(screen.getByRole("dialog"));
    await userEvent.click(dialog.getAllByRole("checkbox")[1] as HTMLElement);
    await userEvent.click(dialog.getByRole("button", { name: "Ask 2 judges" }));
    await settle();
    expect(
      notebook.book.requests.all.map(({ body }) => [body.judge, body.criterion, body.ask]),
    ).toEqual([
      ["judge-1", "chamber", "talk"],
      ["judge-3", "chamber", "talk"],
    ]);
  });

  it("asks nobody anew where there is no hub: the chief settles", async () => {
    await page(aMarkedDay({ levelOf: oneGap }).entries, one, [], "");
    expect(screen.queryByRole("button", { name: /^Ask/ })).toBeNull();
    expect(screen.getAllByRole("button", { name: "Settle" }).length).toBeGreaterThan(0);
  });

  it("settles a question only with a reason; striking takes the mark out of the verdict", async () => {
    const { notebook } = await page(aMarkedDay({ levelOf: oneGap }).entries);
    expect(
      screen.getByText(/^Somebody is 2 levels below Somebody and Somebody on chamber/),
    ).toBeTruthy();
    const question = within(
      screen
        .getByText(/^Somebody is 2 levels below Somebody and Somebody on chamber/)
        .closest("article") as HTMLElement,
    );
    expect(
      question.getByText(/lowest or the highest mark, the total would move by up to /),
    ).toBeTruthy();
    await userEvent.click(question.getByRole("button", { name: "Settle" }));
    // By hand: chamber of the left side at (1 + 3 + 3) / 3 is 44.4 %, the rest 66.7 %; without judge 1 all is 66.7 %, and with the etiquette 75 %.
    expect(
      screen.getByRole("radio", {
        name: /stand as they are\. The total is 7\d(\.\d)?\s%: Pass\.$/,
      }),
    ).toBeTruthy();
    await userEvent.click(
      screen.getAllByRole("radio", {
        name: /^Leave out .*’s mark of Chamber, Rising block left\. The total would be 75\s%: Pass\.$/,
      })[0] as HTMLElement,
    );
    await userEvent.click(screen.getByRole("button", { name: "Settle it" }));
    await settle();
    expect(notebook.book.decisions.settlements(one)).toEqual([]);
    await userEvent.type(screen.getByRole("textbox"), "Her view was blocked");
    await userEvent.click(screen.getByRole("button", { name: "Settle it" }));
    await settle();
    const [settled] = notebook.book.decisions.settlements(one);
    expect(settled?.body).toMatchObject({
      question: "level-gap/blocks/rising-block/left/chamber",
      decision: "struck",
      judge: "judge-1",
    });
    expect(JSON.stringify(settled)).not.toContain("blocked");
    const texts = [...notebook.sides.values()].map(({ body }) => FreeText.parse(body).text);
    expect(texts).toEqual(["Her view was blocked"]);
    const kept = within(screen.getByRole("region", { name: "Settled" }));
    expect(kept.getByText("Chamber, Rising block left")).toBeTruthy();
    expect(kept.getByText("Her view was blocked")).toBeTruthy();
    // Without the struck mark the panel mark is 3 again: all of it meets.
    expect(screen.queryByText("panel mark 2.33")).toBeNull();
  });

  it("seals the computed verdict with what this device held, and no reason", async () => {
    const { notebook } = await page(aMarkedDay().entries);
    const basis = heldOf(notebook.book, one);
    await userEvent.click(screen.getByRole("button", { name: /^Pass\s*as computed/ }));
    expect(screen.queryByRole("textbox")).toBeNull();
    await userEvent.click(screen.getByRole("button", { name: "Seal: pass" }));
    await settle();
    const body = notebook.book.decisions.verdict(one)?.body;
    expect(body).toEqual({
      candidate: one,
      result: "pass",
      retestSections: [],
      computed: "pass",
      basis,
      after: {},
      ofWithdrawn: null,
    });
    expect(heading()).toBe("Pass, issued");
  });

  // A stranger's chief, at the end of the page, saw nothing of the verdict that had just been sealed.
  it("[Y228] says among the keys too what was issued", async () => {
    await page(aMarkedDay().entries);
    const foot = within(screen.getByRole("contentinfo"));
    expect(foot.queryByText("Pass, issued")).toBeNull();
    await userEvent.click(screen.getByRole("button", { name: /^Pass\s*as computed/ }));
    await userEvent.click(screen.getByRole("button", { name: "Seal: pass" }));
    await settle();
    expect(foot.getByText("Pass, issued")).toBeTruthy();
  });

  it("takes a verdict after the closing as a correction, with its reason, and asks and settles nothing more", async () => {
    const { entries, day } = aMarkedDay();
    const { notebook } = await page([...entries, day.chief.write("closed", {})]);
    expect(screen.queryByRole("button", { name: /^Ask/ })).toBeNull();
    await userEvent.click(screen.getByRole("button", { name: /^Pass/ }));
    expect(screen.getByText(/closed: this is a correction/)).toBeTruthy();
    await userEvent.type(screen.getByLabelText(/^Reason/), "The name was missed.");
    await userEvent.click(screen.getByRole("button", { name: "Seal: pass" }));
    await settle();
    // The first corrects no other: its reason is filed under the child, and a closing is about nobody.
    const correction = () => [...notebook.book.entries()].find(({ kind }) => kind === "correction");
    const first = notebook.book.decisions.verdict(one);
    expect(first?.body.reason).toBeTruthy();
    expect(correction()).toBeUndefined();
    await userEvent.click(screen.getByRole("button", { name: /^Pass/ }));
    await userEvent.type(screen.getByLabelText(/^Reason/), "Once more.");
    await userEvent.click(screen.getByRole("button", { name: "Seal: pass" }));
    await settle();
    expect(correction()?.body).toMatchObject({
      of: first?.id,
      reason: notebook.book.decisions.verdict(one)?.body.reason,
    });
  });

  it("[Y245] asks whoever left a cell blank for a mark, once marks are open", async () => {
    const { entries } = aMarkedDay({ levelOf: level(3) });
    // Judge 1 is heard without the mark of one cell: the lock stands.
    const lost = entries.find(
      ({ kind, by, body }) =>
        kind === "mark" &&
        by === "judge-1" &&
        (body as { cells: { candidate: string; criterion: string }[] }).cells.some(
          (cell) => cell.candidate === one && cell.criterion === "chamber",
        ),
    );
    const { notebook } = await page(entries.filter((entry) => entry !== lost));
    expect(lost).toBeTruthy();
    await userEvent.click(
      screen.getAllByRole("button", { name: /^Ask about .*chamber/i })[0] as HTMLElement,
    );
    expect(screen.getByRole("checkbox", { name: /: blank$/, checked: true })).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Ask 1 judge" }));
    await settle();
    const asked = [...notebook.book.entries()].find(({ kind }) => kind === "remark-asked");
    expect(asked?.body).toMatchObject({ judge: "judge-1", candidate: one, criterion: "chamber" });
  });

  it("needs a reason for another verdict than the computed one, and names sections in the rubric's order", async () => {
    const { notebook } = await page(aMarkedDay().entries);
    await userEvent.click(screen.getByRole("button", { name: /^Retest/ }));
    const seal = screen.getByRole("button", { name: "Seal: retest" });
    await userEvent.click(seal);
    await settle();
    expect(screen.getByText("Choose at least one section.")).toBeTruthy();
    await userEvent.click(screen.getByRole("checkbox", { name: "Etiquette" }));
    await userEvent.click(screen.getByRole("checkbox", { name: "Blocks" }));
    await userEvent.click(seal);
    await settle();
    expect(notebook.book.decisions.verdict(one)).toBeUndefined();
    await userEvent.type(screen.getByRole("textbox"), "Seen to copy");
    await userEvent.click(seal);
    await settle();
    const verdict = notebook.book.decisions.verdict(one);
    expect(verdict?.body).toMatchObject({
      result: "retest",
      computed: "pass",
      retestSections: ["blocks", "etiquette"],
    });
    expect(verdict?.body.reason).toBeDefined();
    expect(JSON.stringify(verdict)).not.toContain("copy");
  });

  it("asks for a reason while an open question could change the result", async () => {
    const { notebook } = await page(
      aMarkedDay({
        levelOf: (_, place, judge) =>
          place.section === "etiquette" ? 2 : judge === "judge-1" ? 1 : 3,
      }).entries,
    );
    // By hand: Blocks 44.5 % (1, 3, 3), so (3 × 44.5 + 100) / 4 = 58.4: the computed result itself is chosen.
    expect(heading()).toBe("Retest: Blocks");
    await userEvent.click(screen.getByRole("button", { name: /^Retest\s*needs a reason/ }));
    expect(screen.getByText("A question that could change the verdict is open.")).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: "Seal: retest" }));
    await settle();
    expect(notebook.book.decisions.verdict(one)).toBeUndefined();
  });

  it("says kindly that somebody withdrew or was absent, and asks for no verdict", async () => {
    const { day, entries } = aMarkedDay({ levelOf: () => undefined, locks: () => false });
    const { record, ref } = makeSideRecord(
      { grading: aGradingId, about: one, kind: "candidate", body: { given: "Mira" } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    day.chief.hear(9999);
    const more = [
      day.chief.write("entered", {
        candidate: one,
        number: 1,
        rubric: day.rubric.id,
        details: ref,
      }),
      day.chief.write("withdrawn", { candidate: one, why: "hurt" }),
    ];
    await page([...entries, ...more], one, [record]);
    expect(heading()).toBe("Withdrawn");
    expect(
      screen.getByText("Mira was hurt. Withdrawn without penalty: never a fail."),
    ).toBeTruthy();
    expect(screen.getByText("No verdict is needed.")).toBeTruthy();
  });

  it("[Y241] says of a child who takes no part any more that the verdict stands, and lets another be issued", async () => {
    const { day, entries } = aMarkedDay();
    day.chief.hear(9999);
    const basis = fold(entries).basis;
    const more = [
      day.chief.write("verdict", {
        ...{ candidate: one, result: "retest", computed: "retest", retestSections: [], basis },
        reason: { id: "why", digest: "d".repeat(64) },
      } as never),
      day.chief.write("unfit", { candidate: one }),
    ];
    await page([...entries, ...more], one);
    expect(screen.getByText(/A verdict was issued; another can be/)).toBeTruthy();
    expect(screen.queryByText("No verdict is needed.")).toBeNull();
    expect(screen.getByRole("button", { name: /^Pass/ })).toBeTruthy();
  });

  it("gives the keyboard back to the key that opened a dialog", async () => {
    await page(aMarkedDay().entries);
    const pass = screen.getByRole("button", { name: /^Pass\s*as computed/ });
    pass.focus();
    await userEvent.keyboard("{Enter}");
    await userEvent.click(screen.getByRole("button", { name: "Not now" }));
    expect(screen.queryByRole("dialog")).toBeNull();
    expect(document.activeElement).toBe(pass);
  });

  it("goes to the next candidate and to the next question", async () => {
    const { entries } = aMarkedDay({
      levelOf: (candidate, place, judge) =>
        place.section === "etiquette" ? 2 : candidate === two && judge === "judge-1" ? 1 : 3,
    });
    await page(entries);
    await userEvent.click(screen.getByRole("link", { name: /Next question/ }));
    expect(screen.getByRole("heading", { level: 1 }).textContent?.trim()).toBe("2");
    await userEvent.click(screen.getByRole("link", { name: /^3/ }));
    expect(screen.getByRole("heading", { level: 1 }).textContent?.trim()).toBe("3");
  });

  it("says so when nobody has this number", async () => {
    await page(aTestDay().plan, "candidate-99" as CandidateId);
    expect(screen.getByRole("heading", { level: 1, name: "Nobody of this number" })).toBeTruthy();
  });
});
