import { act, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { Route, Routes } from "react-router";
import { afterEach, describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import { lockBody } from "../../../src/belt-test/scorebook/judge-view.ts";
import { FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, EntryId, PersonId } from "../../../src/book/identity.ts";
import { SessionFrame } from "../../../src/tablet/screens/frame/session-frame.tsx";
import { StoppedFloor } from "../../../src/tablet/screens/frame/stopped-floor.tsx";
import { Troubles } from "../../../src/tablet/screens/frame/troubles.tsx";
import { keepChiefKey } from "../../../src/tablet/session/chief-key.ts";
import { LinesAside } from "../../../src/tablet/session/lines-aside.tsx";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { aFramedPage } from "../../builders/a-framed-page.tsx";
import { aGradingId, anEntryId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { settle } from "../../builders/settle.ts";

const one = "candidate-1" as CandidateId;

async function aStoppedFloor(person: string, roles: Role[]) {
  const day = aTestDay();
  const called = day.chief.write("called", {
    wave: 1,
    section: anId("blocks"),
    item: anId("rising-block"),
    side: "left",
  });
  const mine = await aSession(person, roles, [
    ...day.plan,
    day.chief.write("checked-in", { candidate: one }),
    called,
  ]);
  mine.notebook.linkIs("live");
  const { id } = await mine.notebook.write("stopped", { wave: 1 });
  mine.notebook.acknowledged([id]);
  mine.show(<StoppedFloor />);
  return mine;
}

describe("a stop", () => {
  it("says on every tablet to look after the person first, and lets anybody withdraw somebody, and take it back", async () => {
    const { notebook } = await aStoppedFloor("judge-1", ["judge"]);
    expect(screen.getByRole("alertdialog", { name: "Stop. Everybody stands still." })).toBeTruthy();
    expect(screen.getByText(/Call the first-aider/)).toBeTruthy();
    await userEvent.click(
      (await screen.findAllByRole("button", { name: "hurt" }))[0] as HTMLElement,
    );
    await settle();
    expect(notebook.book.floor.presence(one)).toBe("withdrawn");
    await userEvent.click(screen.getAllByRole("button", { name: "hurt" })[0] as HTMLElement);
    await settle();
    expect(notebook.book.floor.presence(one)).toBe("checked-in");
  });

  it("keeps what happened in an erasable record, not in the entry", async () => {
    const { notebook } = await aStoppedFloor("judge-1", ["judge"]);
    await userEvent.type(await screen.findByRole("textbox"), "Slipped on the edge of the mat");
    await userEvent.click(screen.getByRole("button", { name: "Keep this" }));
    await settle();
    const [incident] = notebook.book.floor.incidents;
    expect(JSON.stringify(incident)).not.toContain("Slipped");
    expect(notebook.sides.get(incident?.body.text.id as never)?.body).toEqual({
      text: "Slipped on the edge of the mat",
    });
  });

  it("is lifted by the caller or the chief, and by nobody else", async () => {
    await aStoppedFloor("judge-1", ["judge"]);
    expect(screen.queryByRole("button", { name: /go on/ })).toBeNull();
    screen.getByText(/The caller or the chief examiner says when it goes on/);
  });
  it("goes on with one key for the caller", async () => {
    const { notebook } = await aStoppedFloor("caller", ["caller"]);
    await userEvent.click(screen.getByRole("button", { name: "The floor is clear, go on" }));
    await settle();
    expect(notebook.book.floor.stop?.stopped).toBe(false);
  });
});

describe("several stops", () => {
  const stopOf = (person: string, lamport: number) => {
    const pen = aPen(person);
    pen.hear(lamport - 1);
    return pen.write("stopped", { wave: 1 });
  };
  const dialog = () => screen.queryByRole("alertdialog");

  it("[Y212] are all named, and one key clears the floor of all that this tablet has heard of, and of no other", async () => {
    const { notebook } = await aStoppedFloor("caller", ["caller"]);
    const second = stopOf("judge-2", 90);
    await act(async () => notebook.take([second], []));
    expect(dialog()?.textContent?.match(/stopped the floor at/g)).toHaveLength(2);
    await userEvent.click(screen.getByRole("button", { name: "The floor is clear, go on" }));
    await settle();
    expect(dialog()).toBeNull();
    // Written before the floor was cleared, and heard only now.
    const unheard = stopOf("judge-1", 30);
    await act(async () => notebook.take([unheard], []));
    expect(dialog()).not.toBeNull();
    expect(notebook.book.floor.stops).toEqual([unheard]);
    await userEvent.click(screen.getByRole("button", { name: "The floor is clear, go on" }));
    await settle();
    expect(dialog()).toBeNull();
  });

  it("[Y212] hold a judge as long as one of them does, also where another was told late", async () => {
    const day = aTestDay();
    const mine = await aSession("judge-1", ["judge"], day.plan);
    mine.notebook.linkIs("live");
    mine.show(<StoppedFloor />);
    const late = { ...stopOf("judge-2", 90), at: 0, body: { wave: 1, alone: true } };
    const older = { ...stopOf("judge-3", 80), at: 0, body: { wave: 1, alone: true } };
    await act(async () => mine.notebook.take([late], []));
    await userEvent.click(screen.getByRole("button", { name: "Back to my page" }));
    expect(dialog()).toBeNull();
    await act(async () => mine.notebook.take([older], []));
    expect(dialog()).not.toBeNull();
    await userEvent.click(screen.getByRole("button", { name: "Back to my page" }));
    expect(dialog()).toBeNull();
    const fresh = stopOf("judge-2", 70);
    await act(async () => mine.notebook.take([fresh], []));
    expect(screen.getByRole("heading").textContent).toBe("Stop. Everybody stands still.");
    expect(screen.queryByRole("button", { name: "Back to my page" })).toBeNull();
  });

  it("[Y220] leave the chief a way to *Door*, where they stand above the page, and keep the keys in their place", async () => {
    const day = aTestDay();
    const mine = await aSession("chief", ["chief"], day.plan);
    mine.notebook.linkIs("live");
    mine.show(<StoppedFloor />, "/tests/grading-1/chief");
    const stopAgain = async (from: number, count: number) => {
      const more = Array.from({ length: count }, (_, at) => stopOf("judge-2", from + at));
      await act(async () => mine.notebook.take(more, []));
    };
    await stopAgain(50, 1);
    expect(screen.queryByRole("button", { name: "Go to Door" })).toBeNull();
    await userEvent.click(screen.getByRole("button", { name: "The floor is clear, go on" }));
    await settle();
    await stopAgain(70, 40);
    expect(dialog()?.textContent?.match(/stopped the floor at/g)).toHaveLength(4);
    expect(dialog()?.textContent).toContain("36 earlier stops stand too");
    expect(dialog()?.textContent).toContain("41 times");
    await userEvent.click(screen.getByRole("button", { name: "Go to Door" }));
    expect(dialog()).toBeNull();
    await stopAgain(150, 3);
    expect(dialog()).toBeNull();
    expect(screen.getByRole("status").textContent).toMatch(
      /stopped the floor at .*: it is stopped/,
    );
    await userEvent.click(screen.getByRole("button", { name: "Show the stop" }));
    expect(dialog()).not.toBeNull();
  });

  it("[Y219] shows a withdrawal for another reason once that which was shown is taken back", async () => {
    const { notebook } = await aStoppedFloor("judge-1", ["judge"]);
    const said = (["hurt", "own-wish", "hurt", "own-wish"] as const).map((why, at) => {
      const pen = aPen(`desk-${at}`);
      pen.hear(40 + at);
      return pen.write("withdrawn", { candidate: one, why });
    });
    await act(async () => notebook.take(said, []));
    const pressed = () => screen.queryAllByRole("button", { pressed: true }) as HTMLElement[];
    const takeBackShown = async () => {
      await userEvent.click(pressed()[0] as HTMLElement);
      await settle();
    };
    expect(pressed().map(({ textContent }) => textContent)).toEqual(["own wish"]);
    await takeBackShown();
    expect(notebook.book.floor.withdrawals(one)).toEqual([said[0], said[2]]);
    expect(pressed().map(({ textContent }) => textContent)).toEqual(["hurt"]);
    await takeBackShown();
    expect(notebook.book.floor.presence(one)).toBe("checked-in");
    expect(pressed()).toEqual([]);
  });

  it("[S292] lets whoever takes a withdrawal back take back those they have heard of", async () => {
    const { notebook } = await aStoppedFloor("judge-1", ["judge"]);
    const others = [1, 2].map((at) => {
      const pen = aPen(`desk-${at}`);
      pen.hear(at * 40);
      return pen.write("withdrawn", { candidate: one, why: "hurt" });
    });
    const [heard, unheard] = others;
    await act(async () => notebook.take(heard ? [heard] : [], []));
    await userEvent.click(screen.getAllByRole("button", { name: "hurt" })[0] as HTMLElement);
    await settle();
    expect(notebook.book.floor.presence(one)).toBe("checked-in");
    await act(async () => notebook.take(unheard ? [unheard] : [], []));
    expect(notebook.book.floor.presence(one)).toBe("withdrawn");
  });
});

describe("a closed belt test", () => {
  it("ends the judge's and the caller's screen, says what still waits, and stays readable for the chief", async () => {
    const day = aTestDay();
    const judge = await aSession("judge-1", ["judge"], day.plan);
    await judge.notebook.write("related", { candidate: one, relation: "family" });
    const { unmount } = judge.show(aFramedPage, "/tests/grading-1/judge");
    expect(await screen.findByText("the screen itself")).toBeTruthy();
    await act(async () => judge.notebook.take([day.chief.write("closed", {})], []));
    expect(await screen.findByRole("heading", { name: "The belt test is closed" })).toBeTruthy();
    expect(screen.queryByText("the screen itself")).toBeNull();
    expect(screen.getByText(/1 line of yours is on this device only/)).toBeTruthy();
    unmount();
    const chief = await aSession("chief", ["chief"], [...day.plan, day.chief.write("closed", {})]);
    chief.show(aFramedPage, "/tests/grading-1/sheets");
    expect(await screen.findByText("the screen itself")).toBeTruthy();
    expect((await screen.findByRole("status")).textContent).toMatch(/closed. Verdicts can still/);
  });

  it("[Y227] leaves the chief her ways around where nothing is called or marked any more", async () => {
    const day = aTestDay();
    const closed = [...day.plan, day.chief.write("closed", {})];
    const chief = await aSession("chief", ["chief", "judge", "caller"], closed);
    const { unmount } = chief.show(aFramedPage, "/tests/grading-1/caller");
    await screen.findByRole("heading", { name: "The belt test is closed" });
    expect(screen.getByRole("link", { name: /Sheets/ })).toBeTruthy();
    expect(screen.queryByText(/The chief examiner/)).toBeNull();
    unmount();
    const judge = await aSession("judge-1", ["judge"], closed);
    judge.show(aFramedPage, "/tests/grading-1/judge");
    await screen.findByText(/when the chief examiner gives it/);
    expect(screen.queryByRole("link", { name: /Sheets/ })).toBeNull();
  });
});

describe("the address of a belt test that this device has not opened yet", () => {
  const aNewDevice = async () => {
    const tokens: string[] = [];
    const mine = await aSession("chief", ["chief"], aTestDay().plan, {
      hub: {
        gradings: async (token) => {
          tokens.push(token);
          return { ok: true, gradings: [{ grading: aGradingId, entries: 17 }] };
        },
        makeGrading: async (_, grading) => ({ ok: true, grading }),
      },
    });
    await mine.services.store.forget(aGradingId);
    mine.show(
      <Routes>
        <Route element={<SessionFrame />}>
          <Route path="*" element={<p>the screen itself</p>} />
        </Route>
      </Routes>,
      `/tests/${aGradingId}/sheets`,
    );
    return { mine, tokens };
  };
  afterEach(() => localStorage.clear());

  it("opens it where the hub holds it and this is the chief examiner's device", async () => {
    keepChiefKey({ token: "t", person: "chief" as PersonId, device: "laptop" as DeviceId });
    const { mine, tokens } = await aNewDevice();
    expect(await screen.findByText("the screen itself")).toBeTruthy();
    expect(tokens).toEqual(["t"]);
    expect((await mine.services.store.pass(aGradingId))?.roles).toEqual(["chief"]);
  });

  it("sends everybody else to join with the code, and asks the hub for nothing", async () => {
    const { tokens } = await aNewDevice();
    expect(await screen.findByText("This device has no place in that belt test.")).toBeTruthy();
    expect(tokens).toEqual([]);
  });
});

describe("troubles", () => {
  it("say that names expired, that marks are here, and what brings the names back", async () => {
    const mine = await aSession("judge-1", ["judge"], aTestDay().plan);
    mine.show(<Troubles />);
    const pass = { ...mine.notebook.pass, rosterDroppedAtMs: 1 };
    await act(async () => mine.notebook.tookRoles(pass));
    expect(screen.getByRole("alert").textContent).toMatch(/Names were removed.*mark is still here/);
    expect(screen.getByRole("alert").textContent).toMatch(/Open the test pack again/);
    await act(async () => mine.notebook.tookRoles({ ...pass, token: "t" }));
    expect(screen.getByRole("alert").textContent).toMatch(/come back on the hub’s Wi-Fi/);
  });

  it("tell the chief, and nobody else, for a day that the hub's record is another than before", async () => {
    const chief = await aSession("chief", ["chief"]);
    const { unmount } = chief.show(<Troubles />);
    const { pass } = chief.notebook;
    const at = (partedAtMs: number) =>
      act(async () => chief.notebook.tookRoles({ ...pass, partedAtMs }));
    await at(chief.notebook.nowMs());
    expect(screen.getByRole("alert").textContent).toMatch(/not the one this device had read/);
    await at(chief.notebook.nowMs() - 25 * 3_600_000);
    expect(screen.queryByRole("alert")).toBeNull();
    unmount();
    const judge = await aSession("judge-1", ["judge"]);
    judge.show(<Troubles />);
    const partedAtMs = judge.notebook.nowMs();
    await act(async () => judge.notebook.tookRoles({ ...judge.notebook.pass, partedAtMs }));
    expect(screen.queryByRole("alert")).toBeNull();
  });

  it("[Y111] say how many lines only a newer app can read, that nothing is lost, and what to do", async () => {
    const mine = await aSession("judge-1", ["judge"], aTestDay().plan);
    mine.show(<Troubles />);
    await act(async () => mine.notebook.couldNotRead([{ kind: "mark" }, { kind: "next-year" }]));
    const said = screen.getByRole("alert").textContent ?? "";
    expect(said).toMatch(/2 lines of this test were written by a newer Evenhand/);
    expect(said).toMatch(/Nothing is lost.*open it again on the hub’s Wi-Fi/);
  });

  it("say that the room is little before the disk is full", async () => {
    Object.defineProperty(navigator, "storage", {
      value: { estimate: async () => ({ quota: 5e6, usage: 1e6 }) },
      configurable: true,
    });
    try {
      const { show } = await aSession("judge-1", ["judge"]);
      show(<Troubles />);
      expect((await screen.findByRole("alert")).textContent).toMatch(/disk is nearly full/);
    } finally {
      Reflect.deleteProperty(navigator, "storage");
    }
  });

  it("are said in words: a full disk, a line the hub refused, a hub that closed the line", async () => {
    const mine = await aSession("judge-1", ["judge"], aTestDay().plan);
    const { container } = mine.show(<Troubles />);
    expect(container.textContent).toBe("");
    await act(async () => {
      mine.services.store.keep = () => Promise.reject(new FaultError({ code: "STORE_FULL" }));
      await mine.notebook.write("stopped", { wave: 1 });
      mine.notebook.wasRefused("00000000-0000-7000-8000-000000000001" as EntryId, {
        code: "NOT_ASSIGNED",
        with: { candidate: "candidate-1", section: "blocks" },
      });
      mine.notebook.saidFarewell({ code: "VERSION_UNKNOWN" });
    });
    const said = screen.getByRole("alert").textContent ?? "";
    expect(said).toMatch(/no room left/);
    expect(said).toMatch(/The hub did not take 1 line from this device\. It stays here\./);
    // By the number on their chest and the section's title, never by an id.
    expect(said).toMatch(/You do not mark candidate “1” in section “Blocks”/);
    expect(said).toMatch(/The hub closed the line\./);
  });

  it("[Y176] say of a lock that waits for the judge's other tablet which one it is, and what to do", async () => {
    const person = "judge-1" as PersonId;
    const elsewhere = aMark(aPen(person, "tablet-2"));
    const { show, notebook } = await aSession(person, ["judge"], [...aTestDay().plan, elsewhere]);
    show(<Troubles />);
    await act(async () => {
      const body = lockBody(notebook.book, person, "blocks" as SectionId, one);
      const { id } = await notebook.write("locked", body);
      notebook.wasRefused(id, { code: "BASIS_WRONG" });
    });
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toMatch(
        /A lock of yours waits here \(Blocks, candidate 1\).*another tablet.*Mark nothing again\. If that tablet is lost, tell the chief/,
      ),
    );
    expect(screen.getByRole("alert").textContent).not.toMatch(/did not take/);
  });

  it("[Y142] end for lines that were put aside, also after a reload, and come back when asked for", async () => {
    const { show, notebook, services } = await aSession("chief", ["chief"], aTestDay().plan);
    show(<Troubles />);
    show(<LinesAside />);
    const refuse = (candidate: string) =>
      act(async () => {
        const section = "blocks" as SectionId;
        const { id } = await notebook.write("assigned", {
          judge: "judge-9" as PersonId,
          section,
          candidates: [candidate as CandidateId],
        });
        notebook.wasRefused(id, { code: "SECTION_OPEN", with: { candidate, section } });
        return id;
      });
    const id = await refuse("candidate-1");
    const alert = () => screen.queryByRole("alert")?.textContent ?? "";
    await waitFor(() => expect(alert()).toMatch(/did not take 1 line/));
    expect(notebook.outbox.unsent).toBe(1);
    await userEvent.click(screen.getByRole("button", { name: "Put it aside" }));
    await waitFor(() => expect(alert()).toBe(""));
    expect(notebook.outbox.unsent).toBe(0);
    expect(
      (await services.store.outbox(notebook.pass.grading)).entries.map((one) => one.id),
    ).toEqual([id]);
    const { store } = services;
    const pass = await store.pass(notebook.pass.grading);
    if (!pass) throw new Error("no pass");
    const again = await Notebook.open({ store, pass, makeId: anEntryId, nowMs: () => 1 });
    again.wasRefused(id, { code: "SECTION_OPEN" });
    const { refused, aside, unsent } = again.outbox;
    expect([refused.size, aside, unsent]).toEqual([0, 1, 0]);
    await refuse("candidate-2");
    await waitFor(() => expect(alert()).toMatch(/did not take 1 line/));
    await userEvent.click(screen.getByRole("button", { name: "Show it again" }));
    await waitFor(() => expect(alert()).toMatch(/did not take 2 lines/));
  });
});
