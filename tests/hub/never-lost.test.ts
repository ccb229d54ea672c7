import { expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../src/belt-test/identity.ts";
import type { EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import { countOf } from "../../src/belt-test/scorebook/place-counts.ts";
import type { Basis } from "../../src/book/counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import type { Author } from "../../src/hub/test-room/author.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aBox } from "../builders/a-box.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, aPen, revouched } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const { ref: reason, record } = makeSideRecord(
  { grading: aGradingId, about: mia, kind: "text", body: { text: "The chief says why" } },
  { random: (bytes) => new Uint8Array(bytes) },
);

type Judge = TestDay["judges"][number];
const whoIs = ({ person, pen }: Judge) => ({
  person,
  roles: ["judge"] as const,
  device: pen.device as DeviceId,
});

/** A hub on which a test with two judges has begun. @param isPutBack  from a copy that lacks a call, which its chief has given back */
async function aRoom(isPutBack = false) {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const store = openMemoryScorebook();
  const open = (at = store) => GradingRoom.open(aGradingId, at, "hub", { box: aBox() });
  const chief = {
    person: "chief" as PersonId,
    roles: ["chief"] as const,
    device: day.chief.device as DeviceId,
  };
  const room = await open();
  const lost = await open(openMemoryScorebook());
  for (const one of [room, lost]) await one.handIn(chief, day.plan);
  const [liar, other] = day.judges as [Judge, Judge];
  const book = () => [...room.book.entries()];
  const say = async (to: GradingRoom, judge: Judge, entries: readonly object[]) =>
    (await to.handIn(whoIs(judge), entries)).refused.map(({ fault }) => fault.code);
  /** With what the lost hub gave for them. */
  const keptBefore = async (who: Author, entries: readonly AnyEntry[]) => {
    expect((await lost.handIn(who, entries, [record])).refused).toEqual([]);
    const receipts = lost.receiptsFor(entries.map(({ id }) => id)) ?? [];
    return entries.map((entry, at) => ({ ...entry, receipt: receipts[at] }));
  };
  if (isPutBack) {
    const called = { wave: 1, section: blocks, item: "high-block", side: null };
    const lines = await keptBefore(chief, [day.chief.write("called", called as never)]);
    expect((await room.handIn(chief, lines)).refused).toEqual([]);
  }
  return { day, room, open, chief, liar, other, book, say, keptBefore };
}

// A stranger's judge locked over three places that were heard and refused; the hub said at the chief's next line that it held them, and they were filled.
it.each([false, true])(
  "[H188] no place that was refused is filled behind a lock, whatever the hub says that it had heard, and after a restart; put back once: %s",
  async (isPutBack) => {
    const { day, room, open, chief, liar, other, book, say } = await aRoom(isPutBack);
    const device = liar.pen.device as DeviceId;
    const own = (level: number): AnyEntry =>
      revouched({ ...aMark(aPen(liar.person), { level }), device, n: 1 });
    expect(await say(room, liar, [own(7)])).toHaveLength(1);
    const lines = aLock(liar, blocks, [mia], book());
    const lock = lines.at(-1) as EntryOf<"locked">;
    const over = revouched({
      ...lock,
      body: { ...lock.body, basis: { ...lock.body.basis, [device]: 1 } },
    } as EntryOf<"locked">);
    expect(await say(room, liar, [...lines.slice(0, -1), over])).toEqual([]);
    expect(await say(room, other, aLock(other, blocks, [mia], book()))).toEqual([]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
    day.chief.hear(room.book.lamport);
    const again = { judge: other.person, section: blocks, candidates: [mia] };
    expect((await room.handIn(chief, [day.chief.write("assigned", again)])).refused).toEqual([]);
    for (const one of [room, await open()]) {
      expect(await say(one, liar, [own(4)])).not.toEqual([]);
      expect(one.book.marks.of(mia, "lock").filter(({ level }) => level === 4)).toEqual([]);
    }
  },
);

// A stranger's chief settled a question over places of a judge's count that were to come: the judge stepped back, read, and locked in the past.
it.each([
  { isPutBack: false, isHad: false },
  { isPutBack: true, isHad: false },
  { isPutBack: true, isHad: true },
])(
  "[H189] a decision over what is not here lets a late lock count only where this hub had had it: $isHad, put back: $isPutBack",
  async ({ isPutBack, isHad }) => {
    const { day, room, chief, liar, other, book, say, keptBefore } = await aRoom(isPutBack);
    day.chief.hear(room.book.lamport);
    const count = countOf(liar.pen.device as DeviceId, { candidate: mia, section: blocks });
    const settled = day.chief.write("review-settled", {
      question: "x",
      candidate: mia,
      decision: "stands",
      reason,
      basis: { [count]: 1_000 },
    });
    expect((await room.handIn(chief, [settled], [record])).refused).toEqual([]);
    const written = aLock(liar, blocks, [mia], book());
    const late = isHad ? await keptBefore(whoIs(liar), written) : written;
    await say(room, other, aLock(other, blocks, [mia], book()));
    liar.pen.hear(room.book.lamport + 5);
    const back = liar.pen.write("recused", { candidate: mia, section: blocks });
    expect(await say(room, liar, [back])).toEqual([]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
    const refused = await say(room, liar, late);
    expect(refused.length > 0).toBe(!isHad);
    expect(room.book.openings.hasLocked(liar.person, mia, blocks)).toBe(isHad);
  },
);

// A stranger's desk brought another line in the place of one that the chief had before the verdict: another child's name stood over it.
it("[H189] the desk brings nothing else in the place of a line that the chief had, and its own by its receipt", async () => {
  const { day, room, chief, book, keptBefore } = await aRoom(true);
  const device = "desk-tablet" as DeviceId;
  const desk = { person: "desk" as PersonId, roles: ["desk"] as const, device };
  const excused = (item: string) =>
    aPen(desk.person, device).write("excused", {
      ...{ candidate: mia, section: blocks, item: item as ItemId, reason },
    }) as AnyEntry;
  const [own] = (await keptBefore(desk, [excused("rising-block")])) as [object];
  day.chief.hear(room.book.lamport + 5);
  const verdict = day.chief.write("verdict", {
    ...{ candidate: mia, result: "pass", retestSections: [], computed: "incomplete", reason },
    basis: { ...room.book.basis, [device]: 1 } as Basis,
  });
  expect((await room.handIn(chief, [verdict], [record])).refused).toEqual([]);
  const handIn = async (line: object) =>
    (await room.handIn(desk, [line], [record])).refused.map(({ fault }) => fault.code);
  expect(await handIn(excused("low-block"))).toEqual(["EXCUSE_LATE"]);
  expect(book().filter(({ kind }) => kind === "excused")).toEqual([]);
  expect(await handIn(own)).toEqual([]);
});

it("[H189] on a hub that was put back a chief says as little as before of what the hub held", async () => {
  const { day, room, chief } = await aRoom(true);
  const opened = day.chief.write("revealed", {
    ...{ section: blocks, candidates: [mia], reason, basis: {} },
  });
  const { refused } = await room.handIn(chief, [opened], [record]);
  expect(refused.map(({ fault }) => fault.code)).toEqual(["ENTRY_MALFORMED"]);
});

// A stranger's judge stepped back on a hub that was put back, read, and brought the old lock: a pass became a retest.
it("[H190] an old lock with its receipt changes nothing of marks that have been opened since without it", async () => {
  const { room, liar, other, book, say, keptBefore } = await aRoom(true);
  const old = aLock(liar, blocks, [mia], book()) as AnyEntry[];
  const lines = await keptBefore(whoIs(liar) as Author, old);
  expect(await say(room, other, aLock(other, blocks, [mia], book()))).toEqual([]);
  liar.pen.hear(room.book.lamport + 5);
  const back = liar.pen.write("recused", { candidate: mia, section: blocks });
  expect(await say(room, liar, [back])).toEqual([]);
  expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
  const stood = room.book.marks.of(mia, "lock");
  expect(await say(room, liar, lines)).toContain("RECUSED");
  expect(room.book.openings.hasLocked(liar.person, mia, blocks)).toBe(false);
  expect(room.book.marks.of(mia, "lock")).toEqual(stood);
});
