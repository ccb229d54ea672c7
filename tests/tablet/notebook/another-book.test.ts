import { describe, expect, it } from "vitest";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { PenOf } from "../../../src/book/pen.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import type { FromHub } from "../../../src/line/protocol.ts";
import { aGradingId, anEntryId } from "../../builders/a-pen.ts";
import { type RegisterBodies, registerPen } from "../../builders/a-register.ts";
import { aRegisterTab } from "../../builders/a-register-tab.ts";

const bo = "bo" as PersonId;
const lessons = (count: number) => ({ person: bo, lessons: count, hall: "the hall" });
const name = makeSideRecord(
  { grading: aGradingId, about: bo, kind: "person", body: { name: "Bo Ames" } },
  { random: (bytes) => new Uint8Array(bytes) },
);
const anInstructor = () =>
  new PenOf<RegisterBodies>(registerPen, {
    ...{ grading: aGradingId, person: "cy" as PersonId, device: "cys" as DeviceId },
    ...{ makeId: anEntryId, nowMs: () => 0, lamport: 50 },
  });
const heard = (entries: readonly AnyEntry[], cursor: number, more = {}): FromHub => ({
  ...{ frame: "entries", entries: [...entries], cursor, link: `link-${cursor}` },
  ...more,
});
const refused = ({ id }: AnyEntry, code: "NOT_YOURS" | "SIDE_RECORD_MISSING"): FromHub => ({
  frame: "refuse",
  id,
  fault: { code },
});

describe("a book that is no belt test's, on a tablet", () => {
  it("is written with no hub, stands at once, and stands again when it is opened from the disk", async () => {
    const tab = await aRegisterTab();
    expect(tab.notebook.isNew).toBe(true);
    const writing = tab.notebook.write("attended", lessons(3));
    expect([tab.notebook.book.lessons.get(bo), tab.notebook.unkept]).toEqual([3, 1]);
    const first = await writing;
    await tab.notebook.writeTogether([
      (pen) => pen.write("attended", lessons(1)),
      (pen) => pen.write("judged", { person: bo, month: "May" }),
    ]);
    expect([tab.notebook.isKept(first.id), tab.notebook.outbox.unsent]).toEqual([true, 3]);
    tab.leave();

    const { notebook } = await aRegisterTab(tab);
    expect([notebook.book.lessons.get(bo), notebook.book.size, notebook.isNew]).toEqual([
      ...[4, 3, false],
    ]);
    expect(notebook.outbox.unsent).toBe(3);
    const next = await notebook.write("attended", lessons(1));
    expect([first.n, next.n, next.device === first.device]).toEqual([1, 3, true]);
  });

  it("goes on in its counts where another tab took a place, and says its place anew", async () => {
    const tab = await aRegisterTab();
    const other = await aRegisterTab(tab);
    const theirs = await other.notebook.write("month-over", { month: "April" });
    const ours = await tab.notebook.write("month-over", { month: "May" });
    expect([theirs.n, ours.n]).toEqual([1, 2]);
    expect(ours.body).toEqual({ month: "May", after: 1 });
    expect([...tab.notebook.book.monthsOver]).toEqual(["April", "May"]);
  });

  it("is handed in when the line comes, in its own order, and is sent on the hub's word alone", async () => {
    const tab = await aRegisterTab();
    const came = await tab.notebook.write("attended", lessons(2));
    const joined = await tab.notebook.write(
      "joined",
      { person: bo, called: name.ref },
      { sides: [name.record] },
    );
    expect(tab.said).toEqual([]);
    await tab.connect();
    expect(tab.said[0]).toMatchObject({ frame: "hello", cursor: 0, device: "office" });
    expect(tab.sent().map(({ id }) => id)).toEqual([joined.id, came.id]);
    expect(tab.said.find(({ frame }) => frame === "append")).toMatchObject({
      sides: [{ id: name.ref.id }],
    });
    expect(tab.said.at(-1)).toEqual({ frame: "holding", unsent: 2 });
    expect([tab.notebook.outbox.isSent(came.id), tab.notebook.news.desk]).toEqual([false, 1]);
    await tab.say({ frame: "ack", ids: [came.id, joined.id] });
    expect([tab.notebook.outbox.isSent(came.id), tab.notebook.outbox.unsent]).toEqual([true, 0]);
    expect(tab.disk.outbox.size).toBe(0);
    const live = await tab.notebook.write("attended", lessons(1));
    expect(tab.sent().at(-1)?.id).toBe(live.id);
  });

  it("takes out what the hub refuses, by its own word of what may come yet and what matters no longer", async () => {
    const tab = await aRegisterTab();
    await tab.connect();
    const { notebook } = tab;
    const came = await notebook.write("attended", lessons(2));
    const word = await notebook.write("judged", { person: bo, month: "May" });
    const over = await notebook.write("month-over", { month: "May" });
    await tab.say(
      refused(came, "NOT_YOURS"),
      refused(word, "SIDE_RECORD_MISSING"),
      refused(over, "NOT_YOURS"),
    );
    expect([...notebook.book.entries()].map(({ id }) => id)).toEqual([word.id]);
    expect([...notebook.outbox.refused.keys()]).toEqual([came.id, word.id, over.id]);
    // Somebody else's end of that month comes: nobody needs ours.
    await tab.say(heard([anInstructor().write("month-over", { month: "May" })], 1));
    await tab.say({ frame: "ack", ids: [word.id] });
    expect([...notebook.outbox.refused.keys()]).toEqual([came.id]);
    expect(notebook.outbox.isOvertaken(over.id)).toBe(true);
    tab.leave();
    // The disk remembers what was refused.
    const again = await aRegisterTab(tab);
    expect(again.notebook.book.lessons.get(bo)).toBeUndefined();
    expect(again.notebook.outbox.refused.get(came.id)).toEqual({ code: "NOT_YOURS" });
  });

  it("hears of others, keeps how far, asks on from there, and writes later than they did", async () => {
    const tab = await aRegisterTab();
    await tab.connect({ upTo: 2 });
    const pen = anInstructor();
    const theirs = [pen.write("attended", lessons(5)), pen.write("attended", lessons(2))];
    await tab.say(heard(theirs.slice(0, 1), 1));
    expect(tab.notebook.catchingUp).toEqual({ heard: 1, of: 2 });
    const odd = { ...theirs[0], id: anEntryId(), body: { person: bo, lessons: 0 } };
    await tab.say(heard([...theirs.slice(1), odd as AnyEntry], 2));
    expect([tab.notebook.catchingUp, tab.notebook.book.lessons.get(bo)]).toEqual([undefined, 7]);
    expect(tab.notebook.pass.unread).toEqual([odd]);
    expect((await tab.notebook.write("joined", { person: bo })).lamport).toBe(53);
    tab.leave();

    const again = await aRegisterTab(tab);
    expect(again.notebook.book.lessons.get(bo)).toBe(7);
    await again.connect();
    expect(again.said[0]).toMatchObject({ frame: "hello", cursor: 2, link: "link-2", lamport: 53 });
  });

  it("takes nothing behind what its disk could not keep", async () => {
    const tab = await aRegisterTab();
    await tab.connect();
    const pen = anInstructor();
    const [one, two] = [pen.write("attended", lessons(1)), pen.write("attended", lessons(2))];
    const { hear } = tab.notebook.store;
    tab.notebook.store.hear = async () => {
      throw new FaultError({ code: "STORE_FULL" });
    };
    await tab.say(heard([one], 1));
    tab.notebook.store.hear = hear;
    await tab.say(heard([two], 2));
    expect([tab.notebook.book.size, tab.disk.passes.get(aGradingId)?.cursor]).toEqual([0, 0]);
    await tab.connect();
    await tab.say(heard([one, two], 2));
    expect(tab.notebook.book.lessons.get(bo)).toBe(3);
  });

  it("hands in again what a hub put back from a copy has lost, and shows nothing of others that it does not say", async () => {
    const tab = await aRegisterTab();
    await tab.connect();
    const pen = anInstructor();
    const [kept, lost] = [pen.write("attended", lessons(1)), pen.write("attended", lessons(2))];
    await tab.say(heard([kept, lost], 2));
    const ours = await tab.notebook.write("attended", lessons(4));
    await tab.say({ frame: "ack", ids: [ours.id], receipts: ["r"] });
    expect(tab.notebook.book.lessons.get(bo)).toBe(7);
    tab.said.length = 0;
    await tab.connect({ resumed: false, putBack: true, feed: "g", upTo: 1, holds: [] });
    await tab.say(heard([kept], 1));
    expect(tab.sent()).toMatchObject([{ id: ours.id, receipt: "r" }]);
    expect(tab.notebook.book.lessons.get(bo)).toBe(5);
    expect(tab.disk.passes.get(aGradingId)?.lost).toEqual([lost.id]);
    // Whoever wrote it hands it in.
    await tab.say(heard([lost], 2));
    expect(tab.notebook.book.lessons.get(bo)).toBe(7);
    expect(tab.notebook.heardAnew.isLost(lost.id)).toBe(false);
    tab.leave();
    expect((await aRegisterTab(tab)).notebook.book.lessons.get(bo)).toBe(7);
  });

  it("forgets the names and texts of whoever was erased, in memory and on the disk", async () => {
    const tab = await aRegisterTab();
    await tab.notebook.write("joined", { person: bo, called: name.ref }, { sides: [name.record] });
    expect([tab.notebook.sides.size, tab.disk.sides.size]).toEqual([1, 1]);
    await tab.connect();
    await tab.say(heard([anInstructor().write("erased", { about: bo })], 1));
    expect([tab.notebook.sides.size, tab.disk.sides.size]).toEqual([0, 0]);
    await tab.notebook.write("joined", { person: bo, called: name.ref }, { sides: [name.record] });
    expect([tab.notebook.sides.size, tab.disk.sides.size]).toEqual([0, 0]);
    tab.leave();
    expect((await aRegisterTab(tab)).notebook.sides.size).toBe(0);
  });
});
