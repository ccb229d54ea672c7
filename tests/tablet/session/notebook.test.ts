import { describe, expect, it, vi } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { lastUndoable, undoOf } from "../../../src/belt-test/scorebook/undo.ts";
import { FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { isVouchedEntry } from "../../../src/book/vouched-id.ts";
import type { FromHub, FromTablet } from "../../../src/line/protocol.ts";
import type { OpenHubLink } from "../../../src/ports/hub-link.ts";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { joinHub } from "../../../src/tablet/session/uplink.ts";
import { openDexieScorebook } from "../../../src/tablet/storage/dexie-scorebook.ts";
import { aGradingId, anEntryId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

let opened = 0;
const judge = "judge-1" as PersonId;
const mia = "candidate-1" as CandidateId;
const place = {
  section: "blocks" as SectionId,
  item: "rising-block" as ItemId,
  side: "left" as const,
  criterion: "chamber" as CriterionId,
};
const tap = (level: number | "not-seen" | "cleared") => ({
  section: place.section,
  item: place.item,
  side: place.side,
  cells: [{ candidate: mia, criterion: place.criterion, level, how: "tapped" as const }],
});

async function aNotebook(name = `notebook-${opened++}`, device = "tablet-1" as DeviceId) {
  const store = openDexieScorebook(name);
  const pass = {
    grading: aGradingId,
    device,
    person: judge,
    roles: ["judge" as const],
    token: "t".repeat(30),
    name: "J",
    cursor: 0,
    lastContactMs: 0,
  };
  await store.keepPass(pass);
  const notebook = await Notebook.open({ store, pass, makeId: anEntryId, nowMs: () => 0 });
  return { store, notebook, name };
}

/** A hub at the other end of a line that the test holds in its hand. */
function aLine() {
  const said: FromTablet[] = [];
  let listener: Parameters<OpenHubLink>[0] | undefined;
  let again = 0;
  const open: OpenHubLink = (given) => {
    listener = given;
    return { send: (frame) => void said.push(frame), again: () => void again++, close: () => {} };
  };
  return {
    open,
    /** How often the tablet hung up to come back. */
    get again() {
      return again;
    },
    said,
    state: (state: "live" | "away" | "closed") => listener?.onState(state),
    say: (frame: FromHub) => listener?.onFrame(frame),
  };
}
const settle = () => new Promise((done) => setTimeout(done, 30));

describe("a notebook", () => {
  it("shows a mark at once and calls it kept only when the disk has it", async () => {
    const { notebook } = await aNotebook();
    const writing = notebook.write("mark", tap(2));
    const mark = notebook.book.marks.cell(judge, mia, place);
    expect(mark?.level).toBe(2);
    expect(notebook.isKept(mark?.entry as never)).toBe(false);
    await writing;
    expect(notebook.isKept(mark?.entry as never)).toBe(true);
  });

  it("tells of a mark that its screen has drawn once, when the disk has it; after a tenth of a second where the disk is slow", async () => {
    const { notebook, store } = await aNotebook();
    const told = vi.fn();
    notebook.subscribe(told);
    const writing = notebook.write("mark", tap(2), { drawn: true });
    expect(told).not.toHaveBeenCalled();
    const mark = await writing;
    expect(told).toHaveBeenCalledTimes(1);
    expect(notebook.isKept(mark.id)).toBe(true);

    let answer = () => {};
    vi.spyOn(store, "keep").mockReturnValueOnce(new Promise((done) => (answer = done)));
    const slow = notebook.write("mark", tap(3), { drawn: true });
    await vi.waitFor(() => expect(told).toHaveBeenCalledTimes(2));
    expect(notebook.unkept).toBe(1);
    answer();
    await slow;
    expect(told).toHaveBeenCalledTimes(3);
  });

  it("keeps the mark in view and tries again when the disk is full", async () => {
    const { store, notebook } = await aNotebook();
    const keep = store.keep;
    store.keep = async () => {
      throw new FaultError({ code: "STORE_FULL" });
    };
    await notebook.write("mark", tap(2));
    expect(notebook.fault?.code).toBe("STORE_FULL");
    expect(notebook.book.marks.cell(judge, mia, place)?.level).toBe(2);
    expect(notebook.unkept).toBe(1);
    store.keep = keep;
    await notebook.write("mark", tap(4));
    expect(notebook.fault).toBeUndefined();
    expect(notebook.unkept).toBe(0);
    expect(await store.read(aGradingId, 0)).toHaveLength(2);
  });

  it("[S3] brings back by undo exactly what stood before, one step at a time", async () => {
    const { notebook } = await aNotebook();
    const level = () => notebook.book.marks.cell(judge, mia, place)?.level;
    const undo = async () => {
      const last = lastUndoable(notebook.book, judge);
      if (!last) return false;
      const { kind, body, replaces } = undoOf(notebook.book, last);
      await notebook.write(kind, body, { replaces });
      return true;
    };
    for (const next of [2, 4, "cleared", 1] as const) await notebook.write("mark", tap(next));
    const seen = [level()];
    while (await undo()) seen.push(level());
    expect(seen).toEqual([1, undefined, 4, 2, undefined]);
  });

  // What a second tab had to number anew bore the id of its old place, which no hub takes.
  it("[Y208] gives what is numbered anew an id that vouches for its place, and sends it under that", async () => {
    const { store, name } = await aNotebook();
    await store.hear(aGradingId, aTestDay().plan, [], { feed: "f", cursor: 20 });
    const { notebook } = await aNotebook(name);
    const { notebook: other } = await aNotebook(name);
    await other.write("mark", tap(2));
    await notebook.write("mark", tap(4));
    const lines = (await store.read(aGradingId, 0))
      .map(({ entry }) => entry)
      .filter(({ kind }) => kind === "mark");
    expect(lines.map((entry) => isVouchedEntry(entry))).toEqual([true, true]);
    expect((await store.outbox(aGradingId)).entries.map(({ id }) => id).sort()).toEqual(
      lines.map(({ id }) => id).sort(),
    );
    expect([notebook.unkept, notebook.outbox.unsent]).toEqual([0, 1]);
  });

  it("counts on after another tab of the same device took its numbers", async () => {
    const { notebook, store, name } = await aNotebook();
    const { notebook: other } = await aNotebook(name);
    await other.write("mark", tap(2));
    await notebook.write("mark", tap(4));
    const kept = (await store.read(aGradingId, 0)).map(({ entry }) => entry.n);
    expect(kept).toEqual([1, 2]);
    expect(notebook.book.size).toBe(2);
  });
});

describe("a disk whose answer was lost", () => {
  it("has the mark once, and the notebook calls it kept", async () => {
    const { store, notebook } = await aNotebook();
    const keep = store.keep;
    store.keep = async (...batch) => {
      await keep(...batch);
      store.keep = keep;
      throw new FaultError({ code: "STORE_LOST" });
    };
    await notebook.write("mark", tap(2));
    expect(notebook.unkept).toBe(1);
    await notebook.write("mark", tap(4));
    expect(notebook.unkept).toBe(0);
    expect(notebook.fault).toBeUndefined();
    const kept = (await store.read(aGradingId, 0)).map(({ entry }) => entry.n);
    expect(kept).toEqual([1, 2]);
    expect((await store.outbox(aGradingId)).entries).toHaveLength(2);
  });
});

describe("the line to the hub", () => {
  it("sends what is kept here when it is welcome, and forgets it only on the hub's word", async () => {
    const { notebook, store } = await aNotebook();
    const line = aLine();
    const mark = await notebook.write("mark", tap(2));
    joinHub(notebook, line.open);
    line.state("live");
    await settle();
    expect(line.said[0]).toMatchObject({ frame: "hello", cursor: 0 });
    line.say({
      frame: "welcome",
      protocol: 2,
      person: judge,
      roles: ["judge"],
      feed: "f",
      resumed: true,
    });
    await vi.waitFor(() =>
      expect(line.said).toContainEqual({ frame: "append", entries: [mark], sides: [] }),
    );
    expect(notebook.outbox.unsent).toBe(1);
    line.say({ frame: "ack", ids: [mark.id] });
    await vi.waitFor(() => expect(notebook.outbox.unsent).toBe(0));
    expect((await store.outbox(aGradingId)).entries).toEqual([]);
  });

  it("keeps a refused mark in view with the reason", async () => {
    const { notebook } = await aNotebook();
    const line = aLine();
    joinHub(notebook, line.open);
    const mark = await notebook.write("mark", tap(2));
    line.say({ frame: "refuse", id: mark.id, fault: { code: "CANDIDATE_UNKNOWN" } });
    await settle();
    expect(notebook.outbox.refused.get(mark.id)).toEqual({ code: "CANDIDATE_UNKNOWN" });
    expect(notebook.book.marks.cell(judge, mia, place)?.level).toBe(2);
  });

  it("[T119] says once more what was refused as older than the plan at the moment that the hub told", async () => {
    const { notebook } = await aNotebook();
    const line = aLine();
    joinHub(notebook, line.open);
    const body = { section: place.section, candidates: [mia], basis: {} };
    const first = await notebook.write("locked", body);
    const fault = { code: "PLAN_OLDER" as const, with: { candidate: mia, moment: 512 } };
    line.say({ frame: "refuse", id: first.id, fault });
    await settle();
    const second = await notebook.write("locked", body);
    expect([first.lamport < 512, second.lamport]).toEqual([true, 513]);
  });

  it("writes what it hears to the disk before it shows it, with the cursor after it", async () => {
    const { notebook, store } = await aNotebook();
    const line = aLine();
    joinHub(notebook, line.open);
    const { plan } = aTestDay();
    line.say({
      frame: "welcome",
      protocol: 2,
      person: judge,
      roles: ["judge"],
      feed: "f",
      resumed: false,
    });
    line.say({ frame: "entries", entries: plan, cursor: plan.length });
    await vi.waitFor(() => expect(notebook.book.plan.entrants).toHaveLength(3));
    expect(await store.pass(aGradingId)).toMatchObject({ cursor: plan.length, feed: "f" });
    const mark = await notebook.write("mark", tap(3));
    // A mark does not make logical time go on: it bears what was heard.
    expect(mark.lamport).toBe(plan.length);
  });
});
