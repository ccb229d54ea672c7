import { act, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { callKey, coverageKey } from "../../../src/line/coverage-key.ts";
import css from "../../../src/tablet/screens/caller/caller-screen.module.css";
import { CallerScreen } from "../../../src/tablet/screens/caller/caller-screen.tsx";
import { aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { type ASession, aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { settle } from "../../builders/settle.ts";

const heading = () => screen.getByRole("heading", { level: 1 }).textContent;
const press = async (name: RegExp) => {
  await userEvent.click(screen.getByRole("button", { name }));
  await settle();
};
let mine: ASession;
const call = () => mine.notebook.book.floor.currentCall?.body;

async function open(day = aTestDay()) {
  mine = await aSession("caller", ["caller"], day.plan);
  mine.show(<CallerScreen />);
}

describe("the caller's screen", () => {
  beforeEach(() => open());

  it("asks for the wave first, and choosing it calls its first step", async () => {
    expect(heading()).toBe("Which wave is on the floor?");
    await press(/^Wave 1/);
    expect(call()).toMatchObject({
      wave: 1,
      section: "blocks",
      item: "rising-block",
      side: "left",
    });
    expect(heading()).toBe("Rising block");
    expect(screen.getByText(/Say: “Left rising block\. Yoi\.” Then six counts\./)).toBeTruthy();
  });

  it("counts each tap to the judges, and offers what is next when the set is counted", async () => {
    await press(/^Wave 1/);
    for (let count = 1; count <= 6; count++) await press(/^Count/);
    expect(mine.paces.slice(-6)).toEqual([1, 2, 3, 4, 5, 6]);
    expect(screen.queryByRole("button", { name: /^Count/ })).toBeNull();
    await press(/^Next Rising block, right side/);
    expect(call()).toMatchObject({ item: "rising-block", side: "right" });
    expect(screen.getByText(/Say: “Switch side\. Yoi\.”/)).toBeTruthy();
    expect(mine.paces.at(-1)).toBe(0);
  });

  it("goes back, calls again, pauses and goes on", async () => {
    await press(/^Wave 1/);
    await press(/^Next/);
    await press(/^Back$/);
    expect(call()).toMatchObject({ side: "left" });
    await press(/^Call again/);
    expect(call()).toMatchObject({ side: "left", repeat: true });
    await press(/^Pause/);
    expect(mine.notebook.book.floor.isPaused).toBe(true);
    expect(screen.getByText(/Paused\./)).toBeTruthy();
    await press(/^Go on/);
    expect(mine.notebook.book.floor.isPaused).toBe(false);
  });

  it("swaps two lanes for everybody", async () => {
    await press(/^Wave 1/);
    await press(/^Two stand swapped/);
    await press(/^1$/);
    await press(/^2$/);
    await press(/^Swap 1 and 2/);
    expect(mine.notebook.book.plan.lanes(1)).toEqual(["candidate-2", "candidate-1", "candidate-3"]);
  });

  it("[Y225] names to the caller who came after a call, until every judge of theirs is done with it", async () => {
    const { notebook } = mine;
    const candidate = "candidate-2" as CandidateId;
    await act(async () => void (await notebook.write("absent", { candidate })));
    await press(/^Wave 1/);
    await press(/^Next Rising block, right side/);
    await act(async () => void (await notebook.write("checked-in", { candidate })));
    expect(
      screen.getByText(/^2 was not here for: Rising block, left side and Rising block, right/),
    ).toBeTruthy();
    const done = (side: "left" | "right") =>
      ["judge-1", "judge-2", "judge-3"].map((judge) => ({
        judge: judge as PersonId,
        wave: 1,
        section: "blocks" as SectionId,
        item: "rising-block" as ItemId,
        side,
        alone: null,
        done: true,
      }));
    const told = [...done("left"), ...done("right")];
    await act(async () =>
      notebook.heardNews({ calls: new Map(told.map((one) => [callKey(one), one])) }),
    );
    expect(screen.queryByText(/was not here for/)).toBeNull();
  });

  it("[Y242] names nobody whose section every judge has filled, whoever else of the call is blank", async () => {
    const { notebook } = mine;
    const candidate = "candidate-2" as CandidateId;
    const section = "blocks" as SectionId;
    await act(async () => void (await notebook.write("absent", { candidate })));
    await press(/^Wave 1/);
    await press(/^Next Rising block, right side/);
    await act(async () => void (await notebook.write("checked-in", { candidate })));
    const filled = ["judge-1", "judge-2", "judge-3"].map((judge) => ({
      judge: judge as PersonId,
      candidate,
      section,
      state: "filled" as const,
      notSeen: [],
    }));
    const hear = (some: typeof filled) =>
      act(async () =>
        notebook.heardNews({ coverage: new Map(some.map((one) => [coverageKey(one), one])) }),
      );
    await hear(filled.slice(1));
    expect(screen.getByText(/^2 was not here for/)).toBeTruthy();
    await hear(filled);
    expect(screen.queryByText(/was not here for/)).toBeNull();
  });

  it("stops the floor with one tap", async () => {
    await press(/STOP/);
    expect(mine.notebook.book.floor.stop?.stopped).toBe(true);
  });
});

describe("the caller before hands touch", () => {
  it("has the tap-and-stop rule said before anything is counted or called on, and leaves out who is excused", async () => {
    const [blocks] = aRubric().sections;
    const rubric = aRubric({
      sections: [
        {
          ...blocks,
          onceASection: undefined,
          overall: false,
          items: [
            {
              id: "wrist-escape",
              title: "Wrist escape",
              group: "self-defence",
              counts: 1,
              criteria: ["target"],
              partner: true,
              minimumAge: 12,
            },
            { id: "low-block", title: "Low block", group: "block", criteria: ["target"] },
          ],
        },
      ] as never,
    });
    const day = aTestDay({ rubric });
    const [first] = day.candidates;
    const section = rubric.sections[0]?.id as never;
    day.plan.push(day.chief.write("checked-in", { candidate: first as CandidateId }));
    day.plan.push(
      day.chief.write("excused", {
        candidate: first as CandidateId,
        section,
        item: anId("wrist-escape"),
        why: "age",
      }),
    );
    await open(day);
    await press(/^Wave 1/);
    expect(screen.getByText(/Tap or “stop” ends it at once/)).toBeTruthy();
    expect(screen.getByText("Not for 1")).toBeTruthy();
    expect((screen.getByRole("button", { name: /^Next/ }) as HTMLButtonElement).disabled).toBe(
      true,
    );
    await press(/I have said it/);
    expect(screen.queryByText(/Tap or “stop” ends it at once/)).toBeNull();
    await press(/^Next/);
    expect(call()).toMatchObject({ item: "low-block" });
  });
});

describe("a caller who is not alone", () => {
  beforeEach(() => open());
  const other = (lamport: number, item: string, side: "left" | "right" | null) => {
    const pen = aPen("caller-2");
    pen.hear(lamport - 1);
    return pen.write("called", {
      wave: 1,
      section: "blocks" as SectionId,
      item: item as ItemId,
      side,
    });
  };
  const hears = (call: AnyEntry) => act(async () => mine.notebook.take([call], []));
  const told = () => document.querySelector(`.${css.other}`)?.textContent ?? "";

  it("[Y213] is told who called, and which own call gave way, when another's comes on the glass, until they call again", async () => {
    await hears(other(30, "rising-block", "left"));
    expect(told()).toBe("");
    await press(/^Next/);
    await press(/^Next/);
    expect(heading()).toBe("Low block");
    await hears(other(90, "rising-block", "right"));
    expect(heading()).toBe("Rising block");
    expect(told()).toMatch(/^Somebody else called this at 1\d:00/);
    expect(told()).toMatch(/Your last call was wave 1, set 3 \(Low block.*\)\.$/);
    await hears(other(91, "rising-block", "left"));
    expect(told()).toMatch(/Your last call was wave 1, set 3/);
    await press(/^Next/);
    expect(told()).toBe("");
  });

  it("[Y213] is told of a call that was made while they were off the line, and that their own stands everywhere now", async () => {
    await press(/^Wave 1/);
    await press(/^Next/);
    await press(/^Next/);
    const mineNow = call();
    await hears(other(mine.notebook.book.lamport - 1, "rising-block", "right"));
    expect(call()).toEqual(mineNow);
    expect(told()).toMatch(/^At 1\d:00.* Somebody else called wave 1, set 2 \(Rising block, right/);
    expect(told()).toMatch(/agree on which goes on/);
    await press(/^Call again/);
    expect(told()).toBe("");
  });
});

describe("who has confirmed", () => {
  it("[Y164] is shown from what the hub tells of each judge, never from marks, and never how many", async () => {
    const day = aTestDay();
    await open(day);
    mine.notebook.link = "live";
    await press(/^Wave 1/);
    expect(screen.getAllByText(/not done yet/)).toHaveLength(3);
    const call = {
      judge: "judge-1" as PersonId,
      wave: 1,
      section: "blocks" as SectionId,
      item: "rising-block" as ItemId,
      side: "left" as const,
      alone: null,
      done: true,
    };
    await act(async () => mine.notebook.heardNews({ calls: new Map([[callKey(call), call]]) }));
    expect(screen.getAllByText(/not done yet/)).toHaveLength(2);
    expect(screen.getByText("marked")).toBeTruthy();
    await act(async () => mine.notebook.linkIs("away"));
    expect(screen.queryByText(/not done yet|marked/)).toBeNull();
    expect(screen.getByText("without a hub: ask the judges")).toBeTruthy();
  });
});
