import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { isLockedFor, lockBody } from "../../../src/belt-test/scorebook/judge-view.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import type { FromHub, FromTablet } from "../../../src/line/protocol.ts";
import type { OpenHubLink } from "../../../src/ports/hub-link.ts";
import type { TabletStore } from "../../../src/ports/tablet-store.ts";
import { takeReturned } from "../../../src/tablet/screens/set-up/returned-file.ts";
import { handInAllTheSame, saidOfFiles } from "../../../src/tablet/session/from-files.ts";
import { locksWaiting } from "../../../src/tablet/session/locks-waiting.ts";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { joinHub } from "../../../src/tablet/session/uplink.ts";
import { aLock, theRestNotSeen } from "../../builders/a-lock.ts";
import { aGradingId, anEntryId, aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";
import { openMemoryTabletStore, TabletDisk } from "../../world/memory-tablet-store.ts";
import { Life, Timeline } from "../../world/timeline.ts";

const judge = "judge-1" as PersonId;
const device = "tablet-1" as DeviceId;
const paused = ["paused", {}] as const;

/** A tab on a tablet's disk, and a hub at the other end of its line that the test holds in its hand. */
async function aTab({ disk = new TabletDisk(), time = new Timeline() } = {}) {
  const store = openMemoryTabletStore(disk);
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
  const known = (await store.pass(aGradingId)) ?? pass;
  await store.keepPass(known);
  const clock = new Life(time, { skewMs: 0 });
  const notebook = await Notebook.open({
    store,
    pass: known,
    makeId: anEntryId,
    nowMs: () => clock.nowMs(),
    clock,
  });
  const said: FromTablet[] = [];
  let hub: Parameters<OpenHubLink>[0] | undefined;
  let hungUp = 0;
  joinHub(notebook, (listener) => {
    hub = listener;
    return { send: (frame) => void said.push(frame), again: () => void hungUp++, close() {} };
  });
  const say = async (...frames: FromHub[]) => {
    for (const frame of frames) hub?.onFrame(frame);
    await time.runUntil(time.nowMs + 10);
  };
  return {
    disk,
    time,
    store,
    notebook,
    said,
    say,
    hungUp: () => hungUp,
    hangUp: () => hub?.onState("away"),
    connect: async () => {
      hub?.onState("live");
      await time.runUntil(time.nowMs + 10);
    },
    sent: () =>
      said.flatMap((one) => (one.frame === "append" ? one.entries : [])) as { n: number }[],
    hello: () => said.findLast((one) => one.frame === "hello"),
  };
}
const welcome = (more: Partial<Extract<FromHub, { frame: "welcome" }>> = {}): FromHub => ({
  frame: "welcome",
  protocol: 2,
  person: judge,
  roles: ["judge"],
  feed: "f",
  resumed: true,
  ...more,
});
const heard = (entries: unknown[], cursor: number): FromHub => ({
  frame: "entries",
  entries,
  cursor,
  link: `link-${cursor}`,
});
const gap = (id: string): FromHub => ({
  frame: "refuse",
  id: anId(id),
  fault: { code: "N_GAP", with: { last: 0, n: 2 } },
});
/** Fails once, after doing the work or instead of it. */
function failOnce(store: TabletStore, name: "hear" | "sent", more: { done: boolean }): void {
  const whole = store[name] as (...args: unknown[]) => Promise<unknown>;
  Object.assign(store, {
    [name]: async (...args: unknown[]) => {
      Object.assign(store, { [name]: whole });
      if (more.done) await whole(...args);
      throw new FaultError({ code: more.done ? "STORE_LOST" : "STORE_FULL" });
    },
  });
}

describe("a tablet that cannot keep what it hears", () => {
  const { plan } = aTestDay();

  it("[Y14] takes nothing after it, hangs up, and asks from where its disk stands", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), heard(plan.slice(0, 2), 2));
    failOnce(tab.store, "hear", { done: false });
    await tab.say(heard(plan.slice(2, 4), 4), heard(plan.slice(4, 6), 6));
    expect(await tab.store.pass(aGradingId)).toMatchObject({ cursor: 2, link: "link-2" });
    await tab.time.runUntil(tab.time.nowMs + 6000);
    expect(tab.hungUp()).toBe(1);
    await tab.connect();
    expect(tab.hello()).toMatchObject({ cursor: 2, link: "link-2" });
    await tab.say(welcome(), heard(plan.slice(2, 6), 6));
    expect(tab.notebook.book.size).toBe(6);
  });

  it("[Y14] still hears the hub's last word, and why", async () => {
    const tab = await aTab();
    await tab.connect();
    failOnce(tab.store, "hear", { done: false });
    await tab.say(welcome(), heard(plan.slice(0, 2), 2));
    await tab.say({ frame: "bye", fault: { code: "NOT_ADMITTED" } });
    expect(tab.notebook.farewell).toEqual({ code: "NOT_ADMITTED" });
  });

  it("[Y14] shows what the disk has all the same when only the answer was lost", async () => {
    const tab = await aTab();
    await tab.connect();
    failOnce(tab.store, "hear", { done: true });
    await tab.say(welcome(), heard(plan.slice(0, 5), 5));
    expect(tab.notebook.book.size).toBe(0);
    await tab.connect();
    expect(tab.hello()).toMatchObject({ cursor: 5 });
    expect(tab.notebook.book.size).toBe(5);
  });

  it("[Y14] calls sent what the hub has, although the note of it was lost", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const { id } = await tab.notebook.write(...paused);
    failOnce(tab.store, "sent", { done: true });
    await tab.say({ frame: "ack", ids: [id] });
    expect(tab.notebook.outbox.unsent).toBe(1);
    await tab.connect();
    expect(tab.notebook.outbox.unsent).toBe(0);
  });
});

describe("a hub that lost what it had acknowledged", () => {
  it("[Y15] is sent it again at the welcome, and only that", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const written = [];
    for (let n = 1; n <= 4; n++) written.push(await tab.notebook.write(...paused));
    await tab.say({ frame: "ack", ids: written.map(({ id }) => id) });
    expect(tab.notebook.outbox.unsent).toBe(0);
    tab.said.length = 0;
    await tab.connect();
    await tab.say(welcome({ resumed: false, holds: [[1, 2]] }));
    expect(tab.sent().map(({ n }) => n)).toEqual([3, 4]);
    expect(tab.notebook.outbox.unsent).toBe(2);
    expect((await tab.store.outbox(aGradingId)).entries.map(({ n }) => n)).toEqual([3, 4]);
  });

  it("[Y15] is sent it again also where the tablet was just sending it once more", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const { id } = await tab.notebook.write(...paused);
    const { outbox } = tab.store;
    // Read before the acknowledgement, and answered after it.
    tab.store.outbox = async (grading) => {
      const unsent = await outbox(grading);
      await tab.store.sent(grading, [id]);
      tab.notebook.acknowledged([id]);
      return unsent;
    };
    await tab.connect();
    await tab.say(welcome());
    tab.store.outbox = outbox;
    tab.said.length = 0;
    await tab.connect();
    await tab.say(welcome({ resumed: false, holds: [] }));
    expect(tab.sent().map(({ n }) => n)).toEqual([1]);
  });

  it("[Y202] is not offered what it had refused for what its book said, but for the place in the count, and what waits for the door whole", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const lines = [];
    for (let n = 1; n <= 4; n++) lines.push(await tab.notebook.write(...paused));
    const [first, second, third] = lines as [AnyEntry, AnyEntry, AnyEntry];
    await tab.say(
      { frame: "refuse", id: first.id, fault: { code: "SECTION_OPEN" } },
      { frame: "refuse", id: second.id, fault: { code: "DEVICE_IN" } },
      { frame: "ack", ids: [third.id] },
    );
    tab.said.length = 0;
    await tab.connect();
    await tab.say(welcome({ resumed: false, holds: [] }));
    const sent = tab.sent() as { n: number; kind?: string }[];
    expect(sent.map(({ n, kind }) => [n, kind])).toEqual([
      [1, undefined],
      [2, "paused"],
      [3, "paused"],
      [4, "paused"],
    ]);
    // It stays in view with the reason that it was given.
    await tab.say({ frame: "refuse", id: first.id, fault: { code: "ENTRY_MALFORMED" } });
    expect(tab.notebook.outbox.refused.get(first.id)?.code).toBe("SECTION_OPEN");
    // The hub fills the place, and waits for nothing.
    const { chief, plan } = aTestDay();
    const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
    const who = { person: "chief" as PersonId, roles: ["chief"] as const, device: chief.device };
    const [opened, frozen, ...rest] = plan;
    const given = [opened, { ...frozen, kind: undefined }, ...rest];
    const { refused } = await room.handIn(who, JSON.parse(JSON.stringify(given)));
    expect(refused.map(({ fault }) => fault.code)).not.toContain("N_GAP");
    expect(refused[0]).toMatchObject({ id: frozen?.id, fault: { code: "ENTRY_MALFORMED" } });
  });

  it("[Y203] is not offered it by a page that was loaded anew either, before or after that hub came", async () => {
    const { disk, ...tab } = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const { id } = await tab.notebook.write(...paused);
    await tab.say({ frame: "refuse", id, fault: { code: "NOT_ASSIGNED" } });
    for (const resumed of [false, true]) {
      const again = await aTab({ disk });
      // What stands in no hub stands here no more than before, also while none is in reach.
      expect(again.notebook.book.entry(id)).toBeUndefined();
      expect(again.notebook.outbox.refused).toEqual(new Map([[id, { code: "NOT_ASSIGNED" }]]));
      await again.connect();
      await again.say(welcome({ resumed, holds: [] }));
      expect(again.sent()).toMatchObject([{ n: 1, kind: undefined }]);
    }
  });

  it("[Y204] is not offered again an opening that it refused because the lost one never had it", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const { id } = await tab.notebook.write("closed", {});
    await tab.say({ frame: "refuse", id, fault: { code: "HUB_PUT_BACK" } });
    expect(tab.notebook.outbox.refused.get(id)?.code).toBe("HUB_PUT_BACK");
    expect(tab.notebook.book.plan.closing).toBeUndefined();
    for (const page of [tab, await aTab({ disk: tab.disk })]) {
      page.said.length = 0;
      await page.connect();
      await page.say(welcome());
      expect(page.sent()).toMatchObject([{ n: 1, kind: undefined }]);
    }
  });

  it("[Y205] is not sent what a chief said alone meanwhile of what is open, but what the lost one had acknowledged, however often the line breaks", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    const first = await tab.notebook.write("closed", {});
    await tab.say({ frame: "ack", ids: [first.id] });
    const alone = await tab.notebook.write("closed", {});
    const stop = await tab.notebook.write(...paused);
    for (let times = 0; times < 2; times++) {
      tab.said.length = 0;
      await tab.connect();
      await tab.say(welcome({ putBack: true, holds: [] }));
      const sent = tab.sent() as { n: number; kind?: string }[];
      expect(sent.map(({ n, kind }) => [n, kind])).toEqual([
        [first.n, "closed"],
        [alone.n, undefined],
        [stop.n, "paused"],
      ]);
    }
    expect(tab.notebook.outbox.refused).toEqual(new Map([[alone.id, { code: "HUB_PUT_BACK" }]]));
  });

  it("[Y207] is handed in what the lost one had acknowledged with what it gave for it, also what that had refused for want of something since", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const { id } = await tab.notebook.write(...paused);
    await tab.say({ frame: "ack", ids: [id], receipts: ["the hub's word"] });
    for (const page of [tab, await aTab({ disk: tab.disk })]) {
      page.said.length = 0;
      await page.connect();
      await page.say(welcome({ putBack: true, holds: [] }));
      expect(page.sent()).toMatchObject([{ id, kind: "paused", receipt: "the hub's word" }]);
      await page.say({ frame: "refuse", id, fault: { code: "NOT_REVEALED" } });
    }
  });

  it("[Y205] does not give up what the older copy has, whose acknowledgement alone was lost", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    const { id, n } = await tab.notebook.write("closed", {});
    tab.said.length = 0;
    await tab.connect();
    await tab.say(welcome({ putBack: true, holds: [[1, n]] }));
    expect(tab.sent()).toMatchObject([{ id, kind: "closed" }]);
    await tab.say({ frame: "ack", ids: [id] });
    expect([tab.notebook.outbox.unsent, tab.notebook.outbox.refused.size]).toEqual([0, 0]);
    const again = await aTab({ disk: tab.disk });
    expect(again.notebook.book.plan.isClosed).toBe(true);
  });

  it("[Y205] is sent the plan that was made alone before anything was marked", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    await tab.connect();
    await tab.say(welcome(), heard(plan.slice(0, -1), plan.length - 1));
    const body = { judge, section: "blocks" as SectionId, candidates: [] };
    const { n } = await tab.notebook.write("assigned", body);
    tab.said.length = 0;
    await tab.connect();
    await tab.say(welcome({ putBack: true }));
    expect(tab.sent()).toMatchObject([{ n, kind: "assigned" }]);
  });

  it("[Y206] is all that stands on the screen of what others wrote, also when the page is loaded anew, until they have handed it in again", async () => {
    const tab = await aTab();
    const { plan, judges } = aTestDay();
    const theirs = aMark(judges[1]?.pen ?? aPen("judge-2"));
    await tab.connect();
    await tab.say(welcome(), heard([...plan, theirs], plan.length + 1));
    const own = await tab.notebook.write(...paused);
    await tab.say({ frame: "ack", ids: [own.id] });
    const older = plan.slice(0, -1);
    await tab.connect();
    await tab.say(welcome({ resumed: false, upTo: older.length, holds: [] }));
    expect(tab.notebook.book.entry(theirs.id)).toBeDefined();
    await tab.say(heard(older, older.length));
    const stands = (page: typeof tab) =>
      [theirs.id, own.id].map((id) => page.notebook.book.entry(id) !== undefined);
    expect([tab.notebook.book.size, stands(tab)]).toEqual([older.length + 1, [false, true]]);
    const again = await aTab({ disk: tab.disk });
    expect([again.notebook.book.size, stands(again)]).toEqual([older.length + 1, [false, true]]);
    await again.connect();
    await again.say(welcome({ upTo: older.length }), heard([theirs], older.length + 1));
    expect(stands(again)).toEqual([true, true]);
    expect(stands(await aTab({ disk: tab.disk }))).toEqual([true, true]);
  });

  it("[Y206] so also where it gives this tablet other roles, and so another feed", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    await tab.connect();
    const upTo = plan.length - 1;
    await tab.say(welcome({ resumed: false, feed: "other", putBack: true, upTo, holds: [] }));
    await tab.say(heard(plan.slice(0, -1), upTo));
    expect(tab.notebook.book.size).toBe(upTo);
  });

  it("[Y206] so also where the page is loaded anew while it says everything anew; and of a judge's own, marks stay on the glass", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    const second = aPen(judge, "tablet-2");
    const [mark, lock] = [aMark(second), second.write("answered", {} as never)] as AnyEntry[];
    await tab.connect();
    await tab.say(welcome(), heard([...plan, mark, lock] as AnyEntry[], plan.length + 2));
    const older = plan.slice(0, -1);
    await tab.connect();
    await tab.say(welcome({ resumed: false, upTo: older.length, holds: [] }));
    for (const until of [4, older.length]) {
      const again = await aTab({ disk: tab.disk });
      await again.connect();
      const at = (await again.store.pass(aGradingId))?.cursor ?? 0;
      await again.say(welcome({ upTo: older.length }), heard(older.slice(at, until), until));
      const ids = [...again.notebook.book.entries()].map(({ id }) => id);
      expect(new Set(ids)).toEqual(new Set([...older.slice(0, until), mark].map((one) => one?.id)));
    }
  });

  it("[Y15] is offered again what it refused, when it has said something new", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const { id } = await tab.notebook.write(...paused);
    await tab.say({ frame: "refuse", id, fault: { code: "NOT_ASSIGNED" } });
    tab.said.length = 0;
    await tab.time.runUntil(tab.time.nowMs + 20_000);
    expect(tab.sent()).toEqual([]);
    await tab.say(heard(aTestDay().plan.slice(0, 1), 1), heard(aTestDay().plan.slice(1, 2), 2));
    await tab.time.runUntil(tab.time.nowMs + 20_000);
    expect(tab.sent().map(({ n }) => n)).toEqual([1]);
  });

  it("[Y130] is offered again by itself what was only too far ahead, which stays on the glass meanwhile; and is told how far this tablet has heard", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    const { id, lamport } = await tab.notebook.write(...paused);
    await tab.say({ frame: "refuse", id, fault: { code: "LAMPORT_TOO_HIGH" } });
    expect(tab.notebook.book.entry(id)).toBeDefined();
    expect(tab.notebook.outbox.refused.get(id)?.code).toBe("LAMPORT_TOO_HIGH");
    tab.said.length = 0;
    await tab.time.runUntil(tab.time.nowMs + 11_000);
    expect(tab.sent().map(({ n }) => n)).toEqual([1]);
    await tab.say({ frame: "ack", ids: [id] });
    expect([tab.notebook.outbox.unsent, tab.notebook.outbox.refused.size]).toEqual([0, 0]);
    await tab.time.runUntil(tab.time.nowMs + 30_000);
    expect(tab.sent()).toHaveLength(1);
    await tab.connect();
    expect(tab.hello()).toMatchObject({ lamport });
  });

  it("[Y176] keeps a lock on the glass that waits for the judge's other tablet, and offers it again when that has come", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    const place = ["blocks" as SectionId, "candidate-1" as CandidateId] as const;
    const isLocked = () =>
      isLockedFor(tab.notebook.book, judge, place[1], {
        section: place[0],
        item: null,
        side: null,
      });
    const elsewhere = aMark(aPen(judge, "tablet-2"));
    await tab.connect();
    await tab.say(welcome(), heard([...plan, elsewhere], plan.length + 1));
    const body = lockBody(tab.notebook.book, judge, ...place);
    const { id } = await tab.notebook.write("locked", body);
    const fault = { code: "BASIS_WRONG" } as const;
    await tab.say({ frame: "refuse", id, fault });
    expect([isLocked(), locksWaiting(tab.notebook).map((one) => one.id)]).toEqual([true, [id]]);
    await tab.notebook.putAside(true);
    tab.said.length = 0;
    await tab.say(heard([elsewhere], 1));
    await tab.time.runUntil(tab.time.nowMs + 20_000);
    expect(tab.sent()).toMatchObject([{ id }]);
    await tab.say({ frame: "ack", ids: [id] });
    expect([isLocked(), locksWaiting(tab.notebook), tab.notebook.outbox.unsent]).toEqual([
      true,
      [],
      0,
    ]);
  });

  it("[Y176] takes a lock off the glass that speaks of marks which this tablet never heard of", async () => {
    const tab = await aTab();
    const { plan } = aTestDay();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    const body = lockBody(
      tab.notebook.book,
      judge,
      "blocks" as SectionId,
      "candidate-1" as CandidateId,
    );
    const basis = { ...body.basis, ["tablet-2" as DeviceId]: 1 };
    const { id } = await tab.notebook.write("locked", { ...body, basis });
    await tab.say({ frame: "refuse", id, fault: { code: "BASIS_WRONG" } });
    expect(tab.notebook.book.entry(id)).toBeUndefined();
    expect(locksWaiting(tab.notebook)).toEqual([]);
  });

  it("[Y10] is sent everything once when it misses a number, however many it refuses for it", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const ids = [];
    for (let n = 1; n <= 5; n++) ids.push((await tab.notebook.write(...paused)).id);
    tab.said.length = 0;
    await tab.say(...ids.slice(1).map(gap));
    await tab.time.runUntil(tab.time.nowMs + 1000);
    expect(tab.sent().map(({ n }) => n)).toEqual([1, 2, 3, 4, 5]);
    // Asked for in vain again and again: no faster than every five seconds.
    for (let times = 0; times < 10; times++) {
      await tab.say(...ids.slice(1).map(gap));
      await tab.time.runUntil(tab.time.nowMs + 500);
    }
    expect(tab.sent()).toHaveLength(10);
  });
});

describe("two tabs of one tablet", () => {
  it("[Y16] show each what the other has heard, when they come back", async () => {
    const one = await aTab();
    const other = await aTab({ disk: one.disk, time: one.time });
    const { plan } = aTestDay();
    await one.connect();
    await one.say(welcome(), heard(plan, plan.length));
    expect(other.notebook.book.size).toBe(0);
    await other.connect();
    expect(other.hello()).toMatchObject({ cursor: plan.length });
    expect(other.notebook.book.size).toBe(plan.length);
  });

  it("[Y16] show it also where a hub put back from a backup has as many lines again as it had before", async () => {
    const one = await aTab();
    const other = await aTab({ disk: one.disk, time: one.time });
    const { plan } = aTestDay();
    const [before, after] = [plan.slice(0, 5), plan.slice(5, 10)];
    await other.connect();
    await other.say(welcome(), heard(before, 5));
    await one.connect();
    await one.say(welcome({ resumed: false }), {
      ...heard(after, 5),
      link: "elsewhere",
    } as FromHub);
    await other.connect();
    expect(other.hello()).toMatchObject({ cursor: 5, link: "elsewhere" });
    // What the hub has not said since stands in neither.
    for (const tab of [one, other])
      expect([...tab.notebook.book.entries()].map(({ id }) => id)).toEqual(
        after.map(({ id }) => id),
      );
  });

  it("[Y16] call sent what the hub holds, whichever of them brought it", async () => {
    const one = await aTab();
    await one.notebook.write(...paused);
    const other = await aTab({ disk: one.disk, time: one.time });
    await one.store.sent(aGradingId, [...one.disk.outbox.keys()]);
    expect(other.notebook.outbox.unsent).toBe(1);
    await other.connect();
    await other.say(welcome({ holds: [[1, 1]] }));
    expect(other.notebook.outbox.unsent).toBe(0);
  });

  it("[Y16] send what the other did not live to send", async () => {
    const one = await aTab();
    const other = await aTab({ disk: one.disk, time: one.time });
    await other.connect();
    await other.say(welcome());
    const mark = await one.notebook.write(...paused);
    await one.time.runUntil(one.time.nowMs + 40_000);
    expect(other.sent()).toEqual([mark]);
    // The hub will not say it to the line that brought it.
    expect(other.notebook.book.entry(mark.id)).toEqual(mark);
    expect(other.notebook.outbox.unsent).toBe(1);
  });

  it("[Y16] lock what was marked before, also where the other took its number", async () => {
    const one = await aTab();
    const other = await aTab({ disk: one.disk, time: one.time });
    await one.notebook.write(...paused);
    const candidate = "candidate-1" as CandidateId;
    const section = "blocks" as SectionId;
    const where = { section, item: null, side: null };
    const cell = {
      candidate,
      criterion: "stance" as CriterionId,
      level: 3,
      how: "tapped" as const,
    };
    // Marked and locked before the disk has answered.
    const marking = other.notebook.write("mark", { ...where, cells: [cell] });
    const body = lockBody(other.notebook.book, judge, section, candidate);
    await Promise.all([marking, other.notebook.write("locked", body)]);
    for (const { notebook } of [other, await aTab({ disk: one.disk })]) {
      expect(notebook.book.marks.of(candidate, "lock").map(({ level }) => level)).toEqual([3]);
      expect(notebook.book.marks.late(candidate)).toEqual([]);
    }
  });

  it("[Y16] leave no number out when one writes while the other's numbers are counted", async () => {
    const one = await aTab();
    const other = await aTab({ disk: one.disk, time: one.time });
    await one.notebook.write(...paused);
    const later: Promise<unknown>[] = [];
    const { read } = other.store;
    other.store.read = async (...asked) => {
      // Somebody taps while the disk is asked.
      if (later.length === 0) later.push(other.notebook.write(...paused));
      return read(...asked);
    };
    await other.notebook.write(...paused);
    await Promise.all(later);
    const numbers = [...one.disk.rows.values()].map(({ entry }) => entry.n);
    expect(numbers).toEqual([1, 2, 3]);
  });
});

describe("a lock that the hub did not take", () => {
  const { plan, candidates, judges } = aTestDay();
  const section = "blocks" as SectionId;
  const [candidate] = candidates as [CandidateId];
  const blank = (id: string): FromHub => ({
    frame: "refuse",
    id: anId(id),
    fault: { code: "CELL_BLANK", with: { candidate, section } },
  });
  const ack = (...ids: string[]): FromHub => ({ frame: "ack", ids: ids as never[] });

  async function lockedTooSoon() {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    const { notebook } = tab;
    const lock = () => notebook.write("locked", lockBody(notebook.book, judge, section, candidate));
    const first = await lock();
    expect(notebook.book.openings.hasLocked(judge, candidate, section)).toBe(true);
    await tab.say(blank(first.id));
    return { tab, notebook, lock, first };
  }

  it("[Y21] locks nothing on the tablet either, so that the cells can be filled, and is owed no longer once another says the same", async () => {
    const { tab, notebook, lock, first } = await lockedTooSoon();
    expect(notebook.book.openings.hasLocked(judge, candidate, section)).toBe(false);
    expect(notebook.outbox.refused.get(first.id)?.code).toBe("CELL_BLANK");
    expect(notebook.outbox.unsent).toBe(1);
    const [hand] = judges as [(typeof judges)[0]];
    const marks: string[] = [];
    for (const { body } of theRestNotSeen(hand, section, [candidate], plan))
      marks.push((await notebook.write("mark", body)).id);
    const second = await lock();
    await tab.say(ack(...marks, second.id));
    expect([notebook.outbox.unsent, notebook.outbox.refused.size]).toEqual([0, 0]);
    expect(notebook.book.openings.lock(judge, candidate, section)).toMatchObject({ n: second.n });
    // It is offered again all the same, so that the device's count has no hole at a hub that starts anew.
    expect((await tab.store.outbox(aGradingId)).entries).toEqual([first]);
    // Nobody is told that it waits: there is nothing to be done about it.
    await tab.connect();
    await tab.say(welcome());
    expect(tab.said.filter(({ frame }) => frame === "holding").at(-1)).toMatchObject({ unsent: 0 });
    // Told once more, after a start from the disk, it changes nothing.
    const again = await aTab({ disk: tab.disk, time: tab.time });
    await again.connect();
    await again.say(welcome(), blank(first.id));
    expect([again.notebook.outbox.unsent, again.notebook.outbox.refused.size]).toEqual([0, 0]);
    expect(again.notebook.book.openings.lock(judge, candidate, section)).toMatchObject({
      n: second.n,
    });
  });

  it("[Y21] an opening that was not taken, the marks being open without it, waits for nobody", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    const reason = { id: anId(anEntryId()), digest: "0".repeat(64) };
    const opening = { section, candidates: [candidate], reason };
    const { id } = await tab.notebook.write("revealed", opening);
    const fault = { code: "SECTION_OPEN" as const, with: { candidate, section } };
    await tab.say({ frame: "refuse", id: id, fault });
    expect([tab.notebook.outbox.unsent, tab.notebook.outbox.refused.size]).toEqual([0, 0]);
  });

  it("[Y21] is taken back for every reason, and what was marked with another's candidate is blank again", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), heard(plan, plan.length));
    const { notebook } = tab;
    const cells = [candidate, candidates[1] as CandidateId].map((one) => ({
      candidate: one,
      criterion: "chamber" as CriterionId,
      level: 3,
      how: "rest" as const,
    }));
    const place = { section, item: "rising-block" as ItemId, side: "left" as const };
    const rest = await notebook.write("mark", { ...place, cells });
    const lock = await notebook.write("locked", lockBody(notebook.book, judge, section, candidate));
    const taken = { code: "NOT_ASSIGNED" as const, with: { candidate, section } };
    for (const { id } of [rest, lock]) await tab.say({ frame: "refuse", id, fault: taken });
    const where = { ...place, criterion: "chamber" as CriterionId };
    expect(notebook.book.marks.cell(judge, candidate, where)).toBeUndefined();
    expect(notebook.book.openings.hasLocked(judge, candidate, section)).toBe(false);
    expect(notebook.outbox.refused.size).toBe(2);
    // For another reason a mark stays in view: it may only have come too early.
    const late = await notebook.write("mark", { ...place, cells });
    const unknown = { code: "CANDIDATE_UNKNOWN" as const, with: { candidate } };
    await tab.say({ frame: "refuse", id: late.id, fault: unknown });
    expect(notebook.book.marks.cell(judge, candidate, where)?.level).toBe(3);
  });

  it("[Y21] locks after all when the hub takes it later", async () => {
    const { tab, notebook, first } = await lockedTooSoon();
    await tab.say(ack(first.id));
    expect(notebook.book.openings.lock(judge, candidate, section)).toMatchObject({ n: first.n });
    expect([notebook.outbox.unsent, notebook.outbox.refused.size]).toEqual([0, 0]);
  });
});

describe("a tablet that is told where the hub's chain stands", () => {
  it("[Y18] keeps the newest of it on its disk, also one that says otherwise of a place it knows", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome());
    const head = (seq: number, chain = "a") => ({
      frame: "head" as const,
      head: { grading: aGradingId, seq, chain: chain.repeat(64), key: "k", signature: "s" },
    });
    await tab.say(head(3), head(9), head(9), head(9, "b"));
    const places = async () =>
      (await tab.store.pass(aGradingId))?.heads?.map(({ seq, chain }) => `${seq}${chain[0]}`);
    expect(await places()).toEqual(["3a", "9a", "9b"]);
    await tab.say(...Array.from({ length: 9 }, (_, at) => head(20 + at)));
    expect(await places()).toHaveLength(8);
    expect((await places())?.at(-1)).toBe("28a");
  });
});

describe("a tablet whose hub has another record than it had", () => {
  const head = (seq: number, chain: string) => ({
    frame: "head" as const,
    head: { grading: aGradingId, seq, chain: chain.repeat(64), key: "k", signature: "s" },
  });
  const parted = async (tab: Awaited<ReturnType<typeof aTab>>) =>
    (await tab.store.pass(aGradingId))?.partedAtMs;

  it("[Y20] notes it where two signed heads of one place say otherwise, and keeps both for good", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), head(3, "a"), head(9, "a"), head(9, "a"));
    expect(await parted(tab)).toBeUndefined();
    await tab.say(head(3, "b"));
    expect(await parted(tab)).toBeGreaterThan(0);
    await tab.say(...Array.from({ length: 20 }, (_, at) => head(20 + at, "a")));
    const places = (await tab.store.pass(aGradingId))?.heads?.map(
      ({ seq, chain }) => `${seq}${chain[0]}`,
    );
    expect(places?.slice(0, 3)).toEqual(["3a", "3b", "34a"]);
    expect(places).toHaveLength(8);
  });

  it("[Y20] notes it where the same feed has another line at its cursor, not where the hub may only be behind or the feed is new", async () => {
    const tab = await aTab();
    await tab.connect();
    const heard: FromHub = { frame: "entries", entries: [], cursor: 7, link: "a".repeat(64) };
    await tab.say(welcome({ feed: "f", upTo: 7 }), heard);
    await tab.say(welcome({ feed: "f", resumed: false, upTo: 5 }));
    expect(await parted(tab)).toBeUndefined();
    await tab.say(heard, welcome({ feed: "g", resumed: false, upTo: 9 }));
    expect(await parted(tab)).toBeUndefined();
    await tab.say(heard, welcome({ feed: "g", resumed: true, upTo: 9 }));
    expect(await parted(tab)).toBeUndefined();
    await tab.say(heard, welcome({ feed: "g", resumed: false, upTo: 9 }));
    expect(await parted(tab)).toBeGreaterThan(0);
  });
});

describe("a tablet that is told of several hubs", () => {
  it("[Y19] keeps their addresses with its pass, over a welcome and a new start", async () => {
    const addresses = ["http://10.0.0.1:8080", "http://10.0.0.2:8080"];
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), { frame: "hubs", addresses });
    expect(tab.notebook.pass.hubs).toEqual(addresses);
    await tab.say(welcome());
    expect(tab.notebook.pass.hubs).toEqual(addresses);
    const again = await aTab({ disk: tab.disk, time: tab.time });
    expect(again.notebook.pass.hubs).toEqual(addresses);
  });
});

describe("a tablet whose app is older than the hub", () => {
  const { plan, candidates, judges } = aTestDay();
  const [first, second, third] = plan as [AnyEntry, AnyEntry, AnyEntry];
  // Next year a body is something that this year's app does not know.
  const ofNextYear = { ...third, body: 7 };

  it("[Y111] keeps a line that it cannot read, once, goes on with the others, and says how many there are", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), heard([first, ofNextYear, second], 3));
    expect(tab.notebook.book.size).toBe(2);
    expect(tab.notebook.pass.unread).toEqual([ofNextYear]);
    expect(await tab.store.pass(aGradingId)).toMatchObject({ cursor: 3, unread: [ofNextYear] });
    // The whole feed again, and more that cannot be read.
    const other = { ...ofNextYear, n: 99 };
    await tab.say(heard([first, ofNextYear, second, other], 4));
    expect(tab.notebook.pass.unread).toEqual([ofNextYear, other]);
    // What else comes over the line leaves it where it is.
    await tab.say(
      { frame: "hubs", addresses: ["http://10.0.0.1"] },
      { frame: "presence", people: [] },
    );
    await tab.connect();
    await tab.say(welcome());
    expect(await tab.store.pass(aGradingId)).toMatchObject({ unread: [ofNextYear, other] });
    const again = await aTab({ disk: tab.disk, time: tab.time });
    expect(again.notebook.pass.unread).toEqual([ofNextYear, other]);
  });

  it("[Y111] takes it into the book when a newer app opens, and keeps what that one cannot read either", async () => {
    const tab = await aTab();
    await tab.connect();
    const pen = judges[1]?.pen ?? judges[0]?.pen;
    const mark = pen && aMark(pen, { candidate: candidates[0] as string });
    await tab.say(welcome(), heard([...plan, ofNextYear], plan.length + 1));
    // What an app of last year could not read, and this one can.
    const pass = await tab.store.pass(aGradingId);
    if (!pass || !mark) throw new Error("a pass and a mark");
    await tab.store.keepPass({ ...pass, unread: [mark, ...(pass.unread ?? [])] });
    const newer = await aTab({ disk: tab.disk, time: tab.time });
    expect(newer.notebook.book.entry(mark.id)).toEqual(mark);
    expect(newer.notebook.pass.unread).toEqual([ofNextYear]);
    expect(await newer.store.pass(aGradingId)).toMatchObject({ unread: [ofNextYear] });
  });

  it("[H158] says that an erasing waits as long as the hub does, and what is damaged until it welcomes without a word of it", async () => {
    const { notebook, say, connect } = await aTab();
    await connect();
    await say(welcome());
    const waits = { code: "ERASED_WAITS" as const };
    await say({ frame: "refuse", id: null, fault: waits });
    expect(notebook.news.damage).toEqual(waits);
    await say({ frame: "ack", ids: [] }, { frame: "refuse", id: null, fault: waits });
    expect(notebook.news.damage).toEqual(waits);
    await say({ frame: "ack", ids: [] });
    expect(notebook.news.damage).toBeUndefined();
    const damaged = { code: "TEST_DAMAGED" as const };
    await say({ frame: "refuse", id: null, fault: damaged }, { frame: "ack", ids: [] });
    expect(notebook.news.damage).toEqual(damaged);
    await say(welcome());
    expect(notebook.news.damage).toBeUndefined();
  });
});

describe("a tablet that took scorebook files while its hub was away", () => {
  const day = aTestDay();
  const [, other] = day.judges as [unknown, (typeof day.judges)[number]];
  const mia = day.candidates[0] as CandidateId;
  const blocks = "blocks" as SectionId;
  other.pen.hear(day.plan.length);
  const lines = aLock(other, blocks, [mia], [...day.plan]);
  const desk = aPen("desk");
  desk.hear(day.plan.length);
  const here = desk.write("checked-in", { candidate: mia }) as AnyEntry;
  const locked: FromHub = {
    frame: "coverage",
    work: [{ judge: other.person, candidate: mia, section: blocks, state: "locked", notSeen: [] }],
    calls: [],
    whole: false,
  };
  async function afterFiles(from: readonly AnyEntry[] = [here, ...lines]) {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), heard(day.plan, day.plan.length));
    tab.hangUp();
    await tab.notebook.write(...paused);
    await takeReturned(tab.notebook, { taken: [...from], sides: [] });
    const { id } = await tab.notebook.write(...paused);
    expect(from.every((line) => tab.notebook.book.entry(line.id))).toBe(true);
    tab.said.length = 0;
    return { ...tab, id };
  }
  const ids = (sent: readonly object[]) => sent.map((one) => (one as AnyEntry).id);

  it("[Y232] hands in what it wrote by them when the hub has all of them, closed marks too, across a reload; what was written before, and a stop, at once", async () => {
    const tab = await afterFiles();
    await tab.connect();
    await tab.say(welcome());
    expect(tab.sent()).toHaveLength(1);
    expect(ids(tab.sent())).not.toContain(tab.id);
    const { id: stop } = await tab.notebook.write("stopped", { wave: null });
    await tab.say();
    expect(ids(tab.sent())).toContain(stop);
    // No screen says more than a report on the hub's book.
    expect(tab.notebook.book.entry(here.id)).toBeUndefined();
    await tab.say(heard([here], day.plan.length + 1));
    expect(saidOfFiles(tab.notebook)).toEqual({ said: 1, of: 2 });

    const again = await aTab({ disk: tab.disk, time: tab.time });
    await again.connect();
    await again.say(welcome());
    expect(saidOfFiles(again.notebook)).toEqual({ said: 1, of: 2 });
    expect(again.notebook.book.entry(here.id)).toBeDefined();
    expect(ids(again.sent())).not.toContain(tab.id);
    // Closed marks no hub says to a chief, but that their judge has locked.
    await again.say(locked);
    expect(saidOfFiles(again.notebook)).toBeUndefined();
    expect(ids(again.sent())).toContain(tab.id);
    expect(lines.some(({ id }) => again.notebook.book.entry(id))).toBe(false);
  });

  it("[Y232] hands it in all the same where its holder says so", async () => {
    const tab = await afterFiles();
    await tab.connect();
    await tab.say(welcome());
    expect(ids(tab.sent())).not.toContain(tab.id);
    await handInAllTheSame(tab.notebook);
    await tab.say();
    expect(ids(tab.sent())).toContain(tab.id);
    expect(tab.notebook.book.entry(here.id)).toBeUndefined();
  });

  it("[L144] says at each meeting that the floor is clear, while that waits", async () => {
    const tab = await afterFiles();
    const { id: stop } = await tab.notebook.write("stopped", { wave: null });
    const { id } = await tab.notebook.write("floor-cleared", { stops: [stop] });
    for (let meeting = 0; meeting < 2; meeting++) {
      tab.said.length = 0;
      await tab.connect();
      await tab.say(welcome());
      expect(ids(tab.sent())).not.toContain(id);
      const shouts = tab.said.flatMap((one) =>
        one.frame === "floor" ? [(one.entry as AnyEntry).id] : [],
      );
      expect(shouts).toEqual([id]);
      tab.hangUp();
    }
    await tab.connect();
    await tab.say(welcome(), heard([here], day.plan.length + 1), locked);
    expect(ids(tab.sent())).toContain(id);
  });

  it("[Y232] waits for no lock of whoever's place the hub has given to another", async () => {
    const tab = await afterFiles();
    await tab.connect();
    await tab.say(welcome(), heard([here], day.plan.length + 1));
    expect(saidOfFiles(tab.notebook)).toEqual({ said: 1, of: 2 });
    const chief = aPen("chief");
    chief.hear(day.plan.length);
    const given = chief.write("judge-replaced", { judge: other.person, by: judge });
    await tab.say(heard([given], day.plan.length + 2));
    expect(saidOfFiles(tab.notebook)).toBeUndefined();
    expect(ids(tab.sent())).toContain(tab.id);
  });

  it("[Y232] waits no more when the hub takes what ended the wait: a place that this device gave away before", async () => {
    const tab = await aTab();
    await tab.connect();
    await tab.say(welcome(), heard(day.plan, day.plan.length));
    tab.hangUp();
    const places = { judge: other.person, by: judge };
    const { id: given } = await tab.notebook.write("judge-replaced", places);
    await takeReturned(tab.notebook, { taken: [here, ...lines], sides: [] });
    const { id } = await tab.notebook.write(...paused);
    await tab.connect();
    await tab.say(welcome(), heard([here], day.plan.length + 1));
    expect(saidOfFiles(tab.notebook)).toEqual({ said: 1, of: 2 });
    await tab.say({ frame: "ack", ids: [given] });
    expect(saidOfFiles(tab.notebook)).toBeUndefined();
    expect(ids(tab.sent())).toContain(id);
  });

  it("[Y232] waits for no mark that nobody has locked", async () => {
    const tab = await afterFiles(lines.filter(({ kind }) => kind === "mark"));
    await tab.connect();
    await tab.say(welcome(), { frame: "coverage", work: [], calls: [], whole: true });
    expect(saidOfFiles(tab.notebook)).toBeUndefined();
    expect(ids(tab.sent())).toContain(tab.id);
  });
});
