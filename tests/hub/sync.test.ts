import { createPublicKey, verify } from "node:crypto";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId } from "../../src/book/identity.ts";
import { openSqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { storeFile } from "../../src/hub/store/store-file.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { MAX_FRAME_BYTES } from "../../src/line/protocol.ts";
import { AHub } from "../builders/a-hub.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, anEntryId, aPen } from "../builders/a-pen.ts";
import { ATablet } from "../builders/a-tablet.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { anAnchor, anAnchorId, anchorLevels } from "../builders/an-anchor.ts";
import { anId } from "../builders/an-id.ts";

let hub: AHub;
let day: TestDay;
let chief: ATablet;
const section = "blocks" as SectionId;
const judgeAt = (index: number) => {
  const judge = day.judges[index];
  if (!judge) throw new Error(`no judge ${index}`);
  return judge;
};
const sent = async (tablet: ATablet, ...entries: Parameters<ATablet["append"]>) => {
  tablet.append(...entries);
  await tablet.until(
    () => entries.every(({ id }) => tablet.acknowledged.includes(id)),
    "acknowledgement",
  );
};
/** The lock of one judge, who had marked this before and not seen the rest. */
const lock = (index: number, ...marked: AnyEntry[]) =>
  aLock(judgeAt(index), section, day.candidates, [...day.plan, ...marked]);

beforeEach(async () => {
  hub = await AHub.start();
  day = aTestDay();
  chief = await hub.tablet("chief", ["chief"]);
  await sent(chief, ...day.plan);
});
afterEach(() => hub.end());

describe("the hub's line", () => {
  it("[Y2] sends no byte of another judge's marks before all have locked, and all of them after", async () => {
    const judges = await Promise.all(
      [0, 1, 2].map((index) => hub.tablet(`judge-${index + 1}`, ["judge"])),
    );
    const caller = await hub.tablet("caller", ["caller"]);
    const [one, two, three] = judges as [ATablet, ATablet, ATablet];
    const mark = aMark(judgeAt(0).pen, { level: 4 });
    const place = { section, item: null, side: null, criterion: anId("stance") };
    const candidate = day.candidates[0] as CandidateId;
    const overall = judgeAt(0).pen.write("overall", { candidate, section, judgement: 1 });
    const faults = judgeAt(0).pen.write("faults", { candidate, ...place, faults: [] });
    await sent(one, mark, overall, faults);
    await sent(one, ...lock(0, mark));
    await sent(two, ...lock(1));
    await Promise.all([two, three, chief, caller].map((tablet) => tablet.settled()));
    for (const tablet of [two, three, chief, caller]) {
      const heard = tablet.raw.join("\n");
      for (const { id } of [mark, overall, faults]) expect(heard).not.toContain(id);
      expect(heard).not.toMatch(/"kind":"(mark|overall|faults|note)"/);
    }
    await sent(three, ...lock(2));
    for (const tablet of [two, three, chief]) {
      await tablet.until(() => tablet.ids.includes(faults.id), "the marks");
      expect(tablet.ids).toEqual(expect.arrayContaining([mark.id, overall.id, faults.id]));
    }
    await caller.settled();
    expect(caller.ids).not.toContain(mark.id);
  });

  it("[S19] sends a chief who also judges no byte of others' marks of an anchor before their own, across a restart", async () => {
    const marksOf = (level: number) => ({
      anchor: anAnchorId,
      marks: anchorLevels(day.rubric, level),
    });
    const bothRoles = ["chief", "judge"] as const;
    const device = "chief-judging";
    const pen = aPen("chief", device);
    const judge = await hub.tablet("judge-1", ["judge"]);
    const both = await hub.tablet("chief", [...bothRoles], { device });
    await sent(chief, anAnchor(day.chief, day.rubric));
    const theirs = judgeAt(0).pen.write("anchor-marked", marksOf(4));
    await sent(judge, theirs);
    await chief.until(
      () => chief.ids.includes(theirs.id),
      "the marks, at a chief who does not judge",
    );
    // Nothing marked, and one cell marked, are no marks of one's own.
    const scant = [[], marksOf(2).marks.slice(0, 1)].map((marks) =>
      pen.write("anchor-marked", { anchor: anAnchorId, marks }),
    );
    await sent(both, ...scant);
    await both.settled();
    const feed = both.frames("welcome")[0]?.feed ?? "";
    const cursor = both.frames("entries").at(-1)?.cursor ?? 0;
    await hub.stop();
    await hub.startAgain();
    const back = await hub.tablet("chief", [...bothRoles], { device, feed, cursor });
    const again = await hub.tablet("judge-2", ["judge"]);
    const second = judgeAt(1).pen.write("anchor-marked", marksOf(1));
    await sent(again, second);
    await back.settled();
    for (const heard of [both.raw.join("\n"), back.raw.join("\n")])
      for (const { id, by } of [theirs, second]) {
        expect(heard).not.toContain(id);
        expect(heard).not.toContain(`"by":"${by}"`);
      }
    expect(back.frames("welcome")[0]).toMatchObject({ feed, resumed: true });
    await sent(back, pen.write("anchor-marked", marksOf(3)));
    await back.until(() => back.ids.includes(second.id), "the others' marks");
    expect(back.ids.filter((id) => id === theirs.id || id === second.id)).toEqual([
      theirs.id,
      second.id,
    ]);
    await again.settled();
    expect(again.raw.join("\n")).not.toContain(theirs.id);
  });

  it("[Y7] shows chief and caller how far a judge is with a child, no cell and no count, and judges nothing", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const other = await hub.tablet("judge-2", ["judge"]);
    await sent(judge, aMark(judgeAt(0).pen, { level: 4, criterion: "chamber" }));
    await chief.until(() => chief.frames("coverage").some(({ work }) => work.length > 0));
    const late = await hub.tablet("caller", ["caller"]);
    await late.until(() => late.frames("coverage").length > 0);
    const [whole] = late.frames("coverage");
    expect(whole?.whole).toBe(true);
    expect(whole?.work).toEqual(chief.frames("coverage").at(-1)?.work);
    expect(whole?.work[0]).toEqual({
      judge: "judge-1",
      candidate: "candidate-1",
      section: "blocks",
      state: "begun",
      notSeen: [],
    });
    // Another mark of the same child says nothing new to anybody.
    const frames = chief.frames("coverage").length;
    await sent(judge, aMark(judgeAt(0).pen, { level: 2, criterion: "target" }));
    await chief.settled();
    expect(chief.frames("coverage").length).toBe(frames);
    expect(JSON.stringify(chief.frames("coverage"))).not.toContain("chamber");
    expect(JSON.stringify(chief.frames("coverage"))).not.toContain("level");
    await other.settled();
    expect(other.frames("coverage")).toEqual([]);
  });

  it("[Y9] acknowledges what the file holds at that moment", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const mark = aMark(judgeAt(0).pen);
    judge.append(mark);
    await judge.until(() => judge.acknowledged.length > 0);
    const reader = openSqliteScorebook(`${hub.folder}/evenhand.sqlite`, testBooks);
    const kept = (await reader.read(aGradingId, 0)).map(({ entry }) => entry.id);
    await reader.close();
    expect(kept).toContain(mark.id);
  });

  it("[Y10] acknowledges a batch sent ten times ten times, and keeps it once", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const marks = [aMark(judgeAt(0).pen), aMark(judgeAt(0).pen, { criterion: "target" })];
    for (let time = 0; time < 10; time++) judge.append(...marks);
    await judge.until(() => judge.acknowledged.length === 20);
    expect(judge.refused).toEqual([]);
    const reader = openSqliteScorebook(`${hub.folder}/evenhand.sqlite`, testBooks);
    const kept = await reader.read(aGradingId, day.plan.length);
    await reader.close();
    expect(kept.map(({ entry }) => entry.id)).toEqual(marks.map(({ id }) => id));
  });

  it("[Y11] names each refused entry with its reason and keeps the good ones beside it", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const { pen } = judgeAt(0);
    const good = aMark(pen);
    const tooHigh = aMark(pen, { level: 6 });
    const stranger = aMark(pen, { candidate: "candidate-99" });
    const broken = { ...aMark(pen), lamport: "soon" };
    const notMine = aMark(judgeAt(1).pen);
    const alsoGood = aMark(pen, { criterion: "target" });
    const alien = {
      ...aMark(pen, { criterion: "extension" }),
      grading: anId("another-grading"),
    };
    judge.say({
      frame: "append",
      entries: [good, tooHigh, stranger, broken, notMine, alsoGood, alien],
    });
    await judge.until(() => judge.refused.length === 5);
    expect(judge.refused).toEqual([
      [tooHigh.id, "LEVEL_OUT_OF_SCALE"],
      [stranger.id, "CANDIDATE_UNKNOWN"],
      [broken.id, "ENTRY_MALFORMED"],
      [notMine.id, "NOT_YOURS"],
      [alien.id, "GRADING_OTHER"],
    ]);
    expect(judge.acknowledged).toEqual([good.id, alsoGood.id]);
  });

  it("[H52] takes what a judge wrote on another tablet of theirs that is out and carried over, once, and nobody else's; nothing while that one is in", async () => {
    const before = await hub.tablet("judge-1", ["judge"], { device: "under-the-old-address" });
    const pen = aPen("judge-1", "under-the-old-address");
    pen.hear(day.plan.length);
    const first = aMark(pen);
    await sent(before, first);
    // Written without a hub, and never sent from there.
    const carried = [aMark(pen, { criterion: "target" }), aMark(pen, { criterion: "extension" })];
    const ids = carried.map(({ id }) => id);
    const other = await hub.tablet("judge-2", ["judge"]);
    other.append(...carried);
    await other.until(() => other.refused.length === 2);
    expect(other.refused.map(([, code]) => code)).toEqual(["NOT_YOURS", "NOT_YOURS"]);
    const early = await hub.tablet("judge-1", ["judge"]);
    early.append(first, ...carried);
    await early.until(() => early.refused.length === 2, "the refusal");
    expect(early.refused.map(([, code]) => code)).toEqual(["DEVICE_IN", "DEVICE_IN"]);
    expect(early.acknowledged).toEqual([first.id]);
    await hub.desk.revoke(aGradingId, "under-the-old-address" as DeviceId);
    // It is hung up on, so that it comes back and offers them again by itself.
    await early.until(() => early.isClosed, "the end of the line");
    expect(early.frames("bye")).toEqual([]);
    const now = await hub.tablet("judge-1", ["judge"]);
    now.append(first, ...carried, ...carried);
    await now.until(
      () => ids.every((id) => now.acknowledged.includes(id)),
      "what was carried over",
    );
    expect((await storedLines()).filter(({ entry }) => entry.kind === "mark").length).toBe(3);
  });

  it("[Y11] refuses a body changed under a used id, and keeps the first", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const mark = aMark(judgeAt(0).pen, { level: 2 });
    await sent(judge, mark);
    const forged = structuredClone(mark);
    for (const cell of forged.body.cells) cell.level = 4;
    judge.append(forged);
    await judge.until(() => judge.refused.length > 0);
    expect(judge.refused).toEqual([[mark.id, "ID_REUSED"]]);
  });

  it("[S297] lets a withdrawal wait for nothing before it, and the word that the child is back as any other line", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const { pen } = judgeAt(0);
    const candidate = "candidate-1" as CandidateId;
    const missing = pen.write("related", { candidate, relation: "family" });
    const gone = pen.write("withdrawn", { candidate, why: "hurt" });
    const back = pen.write("withdrawn", { candidate, why: null, withdrawals: [gone.id] });
    judge.append(gone, back);
    await judge.until(() => judge.refused.length > 0 && judge.acknowledged.length > 0);
    expect(judge.refused).toEqual([[back.id, "N_GAP"]]);
    expect(judge.acknowledged).toEqual([gone.id]);
    await sent(judge, missing, back);
    await chief.until(() => chief.ids.includes(back.id), "the word that the child is back");
  });

  it("[Y11] asks for what is missing when a device's count has a gap, but never makes a stop wait", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const { pen } = judgeAt(0);
    const missing = aMark(pen);
    const early = aMark(pen, { criterion: "target" });
    const stop = pen.write("stopped", { wave: 1 });
    judge.append(early, stop);
    await judge.until(() => judge.refused.length > 0 && judge.acknowledged.length > 0);
    expect(judge.refused).toEqual([[early.id, "N_GAP"]]);
    expect(judge.acknowledged).toEqual([stop.id]);
    await chief.until(() => chief.ids.includes(stop.id), "the stop");
    await sent(judge, missing, early);
  });

  it("[Y1] goes on after a restart from the same cursor, and sends nothing twice", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    await judge.until(() => judge.entries.length === day.plan.length);
    const feed = judge.frames("welcome")[0]?.feed ?? "";
    const cursor = judge.frames("entries").at(-1)?.cursor ?? 0;
    await hub.stop();
    await judge.until(() => judge.isClosed);
    expect(judge.frames("bye")).toEqual([]);
    await hub.startAgain();
    const again = await hub.tablet("judge-1", ["judge"], { feed, cursor });
    const chiefAgain = await hub.tablet("chief", ["chief"]);
    const called = day.chief.write("called", {
      wave: 1,
      section,
      item: anId("rising-block"),
      side: "left",
    });
    await sent(chiefAgain, called);
    await again.until(() => again.entries.length > 0);
    expect(again.frames("welcome")[0]).toMatchObject({ feed, resumed: true });
    expect(again.ids).toEqual([called.id]);
  });

  it("[Y6] starts afresh with another feed's cursor, or one beyond the end", async () => {
    const other = await hub.tablet("judge-1", ["judge"], { feed: "0".repeat(32), cursor: 5 });
    await other.until(() => other.entries.length === day.plan.length);
    expect(other.frames("welcome")[0]?.resumed).toBe(false);
    const feed = other.frames("welcome")[0]?.feed ?? "";
    const beyond = await hub.tablet("judge-1", ["judge"], { feed, cursor: 5000 });
    await beyond.until(() => beyond.entries.length === day.plan.length);
  });

  it("[Y4] sends a judge's second tablet what the first wrote, and the first nothing back", async () => {
    const first = await hub.tablet("judge-1", ["judge"]);
    const second = await hub.tablet("judge-1", ["judge"], { device: "judge-1-spare" });
    const mark = aMark(judgeAt(0).pen);
    await sent(first, mark);
    await second.until(() => second.ids.includes(mark.id), "the mark");
    await first.settled();
    expect(first.ids).not.toContain(mark.id);
  });

  it("[Y8] brings a tablet with two thousand unsent marks up to date", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const { pen } = judgeAt(0);
    const marks = Array.from({ length: 2000 }, (_, index) =>
      aMark(pen, { level: 1 + (index % 4) }),
    );
    for (let start = 0; start < marks.length; start += 200)
      judge.append(...marks.slice(start, start + 200));
    await judge.until(() => judge.acknowledged.length === 2000, "2000", 10_000);
    const second = await hub.tablet("judge-1", ["judge"], { device: "judge-1-spare" });
    await second.until(() => second.entries.length === 2000 + day.plan.length, "all", 10_000);
    expect(second.ids.slice(day.plan.length)).toEqual(marks.map(({ id }) => id));
    for (const text of second.raw) expect(text.length).toBeLessThanOrEqual(MAX_FRAME_BYTES);
  });

  it("[Y12] parts with a word from a tablet of another protocol", async () => {
    const tablet = await ATablet.dial(hub.address);
    tablet.say({
      frame: "hello",
      protocol: 99,
      token: "x".repeat(43),
      grading: aGradingId,
      device: "d" as DeviceId,
      cursor: 0,
    });
    await tablet.until(() => tablet.isClosed);
    expect(tablet.frames("bye")[0]?.fault.code).toBe("VERSION_UNKNOWN");
  });

  it("[Y13] sends a judge the given name only, the desk all of it, and refuses an entry without its record", async () => {
    const chance = { random: (bytes: number) => new Uint8Array(bytes).fill(7) };
    const about = "candidate-9" as CandidateId;
    const { record, ref } = makeSideRecord(
      {
        grading: aGradingId,
        about,
        kind: "candidate",
        body: { given: "Ada", family: "Invented", birthYear: 2016 },
      },
      chance,
    );
    const judge = await hub.tablet("judge-1", ["judge"]);
    const desk = await hub.tablet("desk", ["desk"]);
    const entered = (details: typeof ref) =>
      day.chief.write("entered", { candidate: about, number: 9, rubric: day.rubric.id, details });
    const without = entered({ ...ref, id: anId("nowhere") });
    chief.append(without);
    await chief.until(() => chief.refused.length > 0);
    expect(chief.refused).toEqual([[without.id, "SIDE_RECORD_MISFILED"]]);
    const none = entered({ ...ref, id: anEntryId().replace("-7000-", "-8000-") as never });
    chief.append(none);
    await chief.until(() => chief.refused.length > 1);
    expect(chief.refused[1]).toEqual([none.id, "SIDE_RECORD_MISSING"]);
    const changed = entered({ ...ref, digest: "0".repeat(64) });
    chief.say({ frame: "append", entries: [changed], sides: [record] });
    await chief.until(() => chief.refused.length > 2);
    const whole = entered(ref);
    chief.say({ frame: "append", entries: [whole], sides: [record] });
    for (const tablet of [judge, desk]) await tablet.until(() => tablet.ids.includes(whole.id));
    const sidesOf = (tablet: ATablet) =>
      tablet.frames("entries").flatMap(({ sides = [] }) => sides);
    expect(sidesOf(judge).map(({ body }) => body)).toEqual([{ given: "Ada" }]);
    expect(judge.raw.join("\n")).not.toContain("Invented");
    expect(sidesOf(desk)).toEqual([record]);
  });

  it("[H1] sends a tablet out the moment it is revoked, and takes nothing from it after", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const mark = aMark(judgeAt(0).pen);
    await hub.desk.revoke(aGradingId, "judge-1-tablet" as DeviceId);
    judge.append(mark);
    await judge.until(() => judge.isClosed);
    expect(judge.frames("bye")[0]?.fault.code).toBe("NOT_ADMITTED");
    expect(judge.acknowledged).toEqual([]);
    const back = await hub.tablet("judge-1", ["judge"]);
    await back.until(() => back.isClosed);
    expect(back.frames("bye")[0]?.fault.code).toBe("NOT_ADMITTED");
    expect(back.entries).toEqual([]);
  });

  it("[H2] hangs up on a tablet whose role changes; it comes back with another feed", async () => {
    const before = await hub.tablet("judge-1", ["judge"]);
    await hub.desk.admit(aGradingId, "judge-1-tablet" as DeviceId, { roles: ["judge", "caller"] });
    await before.until(() => before.isClosed);
    expect(before.frames("bye")).toEqual([]);
    const after = await hub.tablet("judge-1", ["judge"]);
    expect(after.frames("welcome")[0]?.roles).toEqual(["judge", "caller"]);
    expect(after.frames("welcome")[0]?.feed).not.toBe(before.frames("welcome")[0]?.feed);
  });

  it("[H3] tells chief and caller who is on the line and whether something waits there, never how much", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    judge.say({ frame: "holding", unsent: 7 });
    const last = () => chief.frames("presence").at(-1)?.people;
    const isThere = () => last()?.find(({ device }) => device === "judge-1-tablet");
    await chief.until(() => isThere()?.unsent === 1, "that something waits", 8_000);
    expect(isThere()).toMatchObject({ person: "judge-1", roles: ["judge"], online: true });
    judge.drop();
    await chief.until(() => isThere()?.online === false);
    await judge.until(() => judge.isClosed);
    expect(judge.frames("presence")).toEqual([]);
  });

  it("[H97] tells nobody of a judge's taps by who is on the line: a tap that is kept is no news", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const isThere = () =>
      chief
        .frames("presence")
        .at(-1)
        ?.people.some(({ device }) => device === "judge-1-tablet");
    await chief.until(() => isThere() === true, "that the judge is here");
    await judge.settled();
    const before = chief.frames("presence");
    for (const criterion of ["chamber", "target", "extension"]) {
      const mark = aMark(judgeAt(0).pen, { criterion });
      judge.say({ frame: "holding", unsent: 1 });
      await sent(judge, mark);
      judge.say({ frame: "holding", unsent: 0 });
      // Longer than who is here is gathered before it is told.
      await new Promise((resolve) => setTimeout(resolve, 500));
    }
    await chief.settled();
    expect(chief.frames("presence")).toEqual(before);
  });

  it("[H8] tells the chief at once who waits at the door, and nobody else", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const address = "10.0.0.9";
    const code = await hub.desk.code(aGradingId);
    await hub.desk.join({ code, device: "new" as DeviceId, name: "Bo", wants: "caller", address });
    await chief.until(() => chief.frames("waiting").at(-1)?.devices.length === 1);
    expect(chief.frames("waiting").at(-1)?.devices[0]).toMatchObject({
      device: "new",
      name: "Bo",
      wants: "caller",
    });
    await hub.desk.admit(aGradingId, "new" as DeviceId, { roles: ["caller"] });
    await chief.until(() => chief.frames("waiting").at(-1)?.devices.length === 0);
    await judge.settled();
    expect(judge.frames("waiting")).toEqual([]);
  });

  it("[H165] tells the chief of a crowd at the door now and then, not knock by knock", async () => {
    const code = await hub.desk.code(aGradingId);
    const before = chief.frames("waiting").length;
    for (let at = 0; at < 60; at++)
      await hub.desk.join({
        ...{ code, device: `crowd-${at}` as DeviceId, name: `Bo ${at}`, wants: "judge" },
        address: `10.0.0.${at}`,
      });
    await chief.until(() => chief.frames("waiting").at(-1)?.devices.length === 60);
    expect(chief.frames("waiting").length - before).toBeLessThan(12);
  });

  it("[Y8] does not let a tablet that reads nothing hold up the others", async () => {
    const asleep = await hub.tablet("judge-2", ["judge"], { device: "judge-2-asleep" });
    asleep.sleep();
    const judge = await hub.tablet("judge-2", ["judge"]);
    const { pen } = judgeAt(1);
    const marks = Array.from({ length: 3000 }, (_, index) =>
      aMark(pen, { level: 1 + (index % 4) }),
    );
    for (let start = 0; start < marks.length; start += 100)
      judge.append(...marks.slice(start, start + 100));
    await judge.until(() => judge.acknowledged.length === marks.length, "all", 10_000);
    asleep.wake();
    const last = marks.at(-1)?.id ?? "";
    await asleep.until(() => asleep.isClosed || asleep.ids.includes(last), "the rest", 10_000);
    expect(asleep.ids.slice(-marks.length)).toEqual(marks.map(({ id }) => id));
  });

  it("[H4] passes the caller's count on to everybody else, and nobody else's", async () => {
    const caller = await hub.tablet("caller", ["caller"]);
    const judge = await hub.tablet("judge-1", ["judge"]);
    caller.say({ frame: "pace", count: 3 });
    await judge.until(() => judge.frames("pace").length > 0);
    judge.say({ frame: "pace", count: 6 });
    await judge.until(() => judge.refused.length > 0);
    await caller.settled();
    expect(judge.frames("pace")).toEqual([{ frame: "pace", count: 3 }]);
    expect(caller.frames("pace")).toEqual([]);
  });

  it("[H5] names a malformed frame, bears a few, and ends with a line that sends nothing else", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    judge.sayText("not json");
    judge.sayText('{"frame":"append","entries":"all"}');
    await judge.until(() => judge.refused.length === 2);
    expect(judge.refused).toEqual([
      [null, "FRAME_MALFORMED"],
      [null, "FRAME_MALFORMED"],
    ]);
    await sent(judge, aMark(judgeAt(0).pen));
    for (let time = 0; time < 30; time++) judge.sayText("{}");
    await judge.until(() => judge.isClosed);
  });

  it("[H5] cuts a frame above the bound, and the line that floods", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    judge.sayText(`"${"x".repeat(MAX_FRAME_BYTES)}"`);
    await judge.until(() => judge.isClosed);
    expect(judge.closeCode).toBe(1009);
    const flood = await hub.tablet("judge-2", ["judge"]);
    for (let time = 0; time < 1000; time++) flood.say({ frame: "ping" });
    await flood.until(() => flood.isClosed);
    expect(flood.closeCode).toBe(1013);
  });

  it("[H28] signs where the chain stands when nothing is under seal, at the closing and at a welcome, for everybody", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const caller = await hub.tablet("caller", ["caller"]);
    await caller.until(() => caller.frames("head").length === 1, "the head at the welcome");
    const mark = aMark(judgeAt(0).pen);
    await sent(judge, mark, ...lock(0, mark));
    day.chief.hear(200);
    await sent(chief, day.chief.write("closed", {}));
    await caller.until(() => caller.frames("head").length === 2, "a head at the closing");
    // None at the lock: others had not locked yet, and its place would have told how many marks are closed.
    const lines = await storedLines();
    for (const { head } of caller.frames("head")) {
      expect(head.chain).toBe(lines.find(({ seq }) => seq === head.seq)?.chain);
      // RFC 8032, by the platform's own reading of the key.
      const key = createPublicKey({
        key: Buffer.from(head.key, "base64"),
        format: "der",
        type: "spki",
      });
      const message = `evenhand head 1\n${aGradingId}\n${head.seq}\n${head.chain}`;
      const signature = Buffer.from(head.signature, "base64");
      expect(verify(null, Buffer.from(message), key, signature)).toBe(true);
      expect(verify(null, Buffer.from(`${message}0`), key, signature)).toBe(false);
    }
    expect(judge.frames("head").map(({ head }) => head.seq)).toEqual([
      ...judge
        .frames("head")
        .slice(0, 1)
        .map(({ head }) => head.seq),
      ...caller
        .frames("head")
        .slice(1)
        .map(({ head }) => head.seq),
    ]);
  });
});

async function storedLines() {
  const store = openSqliteScorebook(storeFile(hub.folder), testBooks);
  const lines = await store.read(aGradingId, 0);
  await store.close();
  return lines;
}
