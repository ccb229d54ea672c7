import { act, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { CallerScreen } from "../../../src/tablet/screens/caller/caller-screen.tsx";
import { JudgeScreen } from "../../../src/tablet/screens/judge/judge-screen.tsx";
import { stopFloor } from "../../../src/tablet/session/stop-floor.ts";
import { aFramedPage } from "../../builders/a-framed-page.tsx";
import { aPen } from "../../builders/a-pen.ts";
import { type ASession, aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

/** By the clock of `aSession`. */
const AT_TEN = Date.UTC(2026, 5, 6, 10);
const day = aTestDay();
const firstCall = day.chief.write("called", {
  wave: 1,
  section: anId("blocks"),
  item: anId("rising-block"),
  side: "left",
});

async function aFloor(
  role: Role,
  link: "live" | "away" = "live",
  more: AnyEntry[] = [],
): Promise<ASession> {
  const mine = await aSession("helper", [role], [...day.plan, firstCall, ...more], { token: "t" });
  mine.notebook.heardUpTo(1, 1);
  mine.notebook.linkIs(link);
  mine.show(aFramedPage, `/tests/grading-1/${role}`);
  await screen.findByText("the screen itself");
  return mine;
}
const stops = ({ notebook }: ASession) => act(() => stopFloor(notebook));
const links = ({ notebook }: ASession, link: "live" | "away") =>
  act(async () => notebook.linkIs(link));
const said = () => screen.getByRole("alertdialog").textContent ?? "";
const title = () => screen.getByRole("alertdialog").querySelector("h1")?.textContent ?? "";

/** Somebody else's stop, written so long ago. */
function aStopOf(minutesAgo: number, alone: boolean, lamport = 90) {
  const pen = aPen("olga", "olga-tablet");
  pen.hear(lamport);
  const stop = pen.write("stopped", { wave: 1, ...(alone ? { alone } : {}) });
  return { ...stop, at: AT_TEN - minutesAgo * 60_000 };
}

describe("a stop with no hub in reach", () => {
  for (const role of ["desk", "caller", "judge", "chief"] as const)
    it(`[Y160] tells the ${role} to shout, and that nobody else is told`, async () => {
      const mine = await aFloor(role, "away");
      await stops(mine);
      expect(title()).toBe("Shout “stop”!");
      expect(said()).toMatch(/has no hub: nobody else is told/);
      expect(said()).not.toMatch(/Everybody stands still/);
    });

  it("[Y160] says so too where the line only looks open: until the hub has answered", async () => {
    const mine = await aFloor("desk");
    await stops(mine);
    expect(said()).not.toMatch(/Everybody stands still/);
    await waitFor(() => expect(title()).toBe("Shout “stop”!"));
    expect(said()).toMatch(/The hub has not answered/);
    const [stop] = [...mine.notebook.book.entries()].slice(-1);
    await act(async () => mine.notebook.acknowledged(stop ? [stop.id] : []));
    await waitFor(() => expect(title()).toBe("Stop. Everybody stands still."));
    expect(said()).toMatch(/The hub has it and has told every device in its reach/);
  });

  it("[Y161] can be left by whoever wrote it, stands above the page meanwhile, and is sent", async () => {
    const mine = await aFloor("desk", "away");
    await stops(mine);
    await userEvent.click(screen.getByRole("button", { name: "Back to my page" }));
    expect(screen.queryByRole("alertdialog")).toBeNull();
    expect(screen.getByText(/stopped at 1\d:00.*not told/i)).toBeTruthy();
    expect(mine.notebook.outbox.unsent).toBe(1);
    await userEvent.click(screen.getByRole("button", { name: "Show the stop" }));
    expect(title()).toBe("Shout “stop”!");
  });

  it("[Y162] that comes an hour late says when it was, that it is told only now, and who is asked to clear it", async () => {
    const mine = await aFloor("judge");
    await act(async () => mine.notebook.take([aStopOf(60, true) as AnyEntry], []));
    expect(title()).toMatch(/^Stopped at .*, told only now$/);
    expect(said()).toMatch(/without a hub in reach/);
    expect(said()).toMatch(/caller or the chief examiner/);
    expect(said()).not.toMatch(/Everybody stands still/);
    await userEvent.click(screen.getByRole("button", { name: "Back to my page" }));
    expect(screen.queryByRole("alertdialog")).toBeNull();
  });

  it("[Y162] is late as well where the floor has been called on since, and its writer thought the hub was there", async () => {
    const later = day.chief.write("called", { ...firstCall.body, side: "right" });
    const mine = await aFloor("judge", "live", [later]);
    const stop = aStopOf(60, false, later.lamport - 2);
    await act(async () => mine.notebook.take([stop as AnyEntry], []));
    expect(title()).toMatch(/told only now$/);
  });

  it("[Y162] is no late one for a clock that is a day off, nor for having stood a while", async () => {
    const mine = await aFloor("judge");
    await act(async () => mine.notebook.take([aStopOf(24 * 60, false) as AnyEntry], []));
    expect(title()).toBe("Stop. Everybody stands still.");
    expect(screen.queryByRole("button", { name: "Back to my page" })).toBeNull();
  });

  it("[Y161] and a stop of somebody else can be left once no hub can say that it is over", async () => {
    const mine = await aFloor("judge");
    await act(async () => mine.notebook.take([aStopOf(0, false) as AnyEntry], []));
    await links(mine, "away");
    expect(said()).toMatch(/cannot hear when it goes on/);
    await userEvent.click(screen.getByRole("button", { name: "Back to my page" }));
    expect(screen.queryByRole("alertdialog")).toBeNull();
    // The hub is back and the stop still stands: it covers the page again.
    await links(mine, "live");
    expect(title()).toBe("Stop. Everybody stands still.");
  });

  it("[Y163] lists whoever is called, checked in or not", async () => {
    const child = "candidate-2" as CandidateId;
    const mine = await aFloor("caller", "away");
    await stops(mine);
    expect(mine.notebook.book.floor.presence(child)).toBe("expected");
    expect(said()).toMatch(/Who cannot go on/);
    await userEvent.click(screen.getAllByRole("button", { name: "hurt" })[1] as HTMLElement);
    await waitFor(() => expect(mine.notebook.book.floor.presence(child)).toBe("withdrawn"));
  });
});

describe("a child who is called without having been checked in", () => {
  const checkedIn = (mine: ASession) =>
    act(async () => {
      for (const candidate of day.candidates)
        mine.notebook.take(
          [aPen("desk", `desk-${candidate}`).write("checked-in", { candidate })],
          [],
        );
    });
  it("[Y163] is marked so on the caller's page and over the judges' lanes, until the desk checks them in", async () => {
    for (const [role, Screen] of [
      ["caller", CallerScreen],
      ["judge", JudgeScreen],
    ] as const) {
      const mine = await aSession(
        role === "judge" ? "judge-1" : role,
        [role],
        [...day.plan, firstCall],
      );
      const { unmount } = mine.show(<Screen />);
      expect(screen.getAllByText("not checked in").length).toBe(3);
      await checkedIn(mine);
      expect(screen.queryByText("not checked in")).toBeNull();
      unmount();
    }
  });
});

describe("a hub that is away", () => {
  for (const role of ["desk", "caller", "chief", "sheets"] as const)
    it(`[Y164] is said on the page “${role}” in the judge's words, and that nobody hears of what is done here`, async () => {
      const mine = await aFloor(role as Role);
      expect(screen.queryByText(/No hub/)).toBeNull();
      await links(mine, "away");
      expect(await screen.findByText("No hub: nothing waits")).toBeTruthy();
      expect(screen.getByText(/nobody else is told/i)).toBeTruthy();
      await act(async () => {
        await mine.notebook.write("checked-in", { candidate: "candidate-1" as CandidateId });
      });
      expect(screen.getByText("No hub: 1 kept here")).toBeTruthy();
      await links(mine, "live");
      expect(screen.queryByText(/No hub/)).toBeNull();
    });
});
