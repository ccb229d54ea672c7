import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { countOf } from "../../src/belt-test/scorebook/counts.ts";
import type { AnyEntry, EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/room/grading-room.ts";
import type { LostState } from "../../src/hub/room/lost-plan.ts";
import { openMemoryScorebook } from "../../src/hub/store/memory-scorebook.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aBox } from "../builders/a-box.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, aPen, revouched } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";

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

/** A hub, or one that was put back from an older copy, on which a test with two judges has begun. */
async function aRoom(lost?: LostState) {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const store = openMemoryScorebook();
  const lostPlans = { of: async () => lost, note: async () => undefined };
  const open = () => GradingRoom.open(aGradingId, store, "hub", { box: aBox(), lostPlans });
  const chief = {
    person: "chief" as PersonId,
    roles: ["chief"] as const,
    device: day.chief.device as DeviceId,
  };
  const room = await open();
  await room.handIn(chief, day.plan);
  const [liar, other] = day.judges as [Judge, Judge];
  const book = () => [...room.book.entries()];
  const say = async (room: GradingRoom, judge: Judge, entries: readonly AnyEntry[]) =>
    (await room.handIn(whoIs(judge), entries)).refused.map(({ fault }) => fault.code);
  return { day, room, open, chief, liar, other, book, say };
}

// A stranger's judge locked over three places that were heard and refused; the hub said at the chief's next line that it held them, and they were filled.
it("[H188] no place that was refused is filled behind a lock, whatever the hub says that it had heard, and after a restart", async () => {
  const { day, room, open, chief, liar, other, book, say } = await aRoom();
  const device = liar.pen.device as DeviceId;
  const own = (level: number): AnyEntry =>
    revouched({ ...aMark(aPen(liar.person), { level }), device, n: 1 } as never);
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
});

// A stranger's chief settled a question over places of a judge's count that were to come: the judge stepped back, read, and locked in the past.
it.each([undefined, "back"] as const)(
  "[H189] a decision over what nobody wrote yet lets no late lock count, but where the hub was put back (%s)",
  async (lost) => {
    const { day, room, chief, liar, other, book, say } = await aRoom(lost);
    day.chief.hear(room.book.lamport);
    const count = countOf(liar.pen.device as DeviceId, { candidate: mia, section: blocks });
    const settled = day.chief.write("review-settled", {
      question: "x",
      candidate: mia,
      decision: "stands",
      reason,
      basis: { [count]: 1_000 } as never,
    });
    expect((await room.handIn(chief, [settled], [record])).refused).toEqual([]);
    const late = aLock(liar, blocks, [mia], book());
    await say(room, other, aLock(other, blocks, [mia], book()));
    liar.pen.hear(room.book.lamport + 5);
    const back = liar.pen.write("recused", { candidate: mia, section: blocks });
    expect(await say(room, liar, [back])).toEqual([]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
    const refused = await say(room, liar, late);
    expect(refused.length > 0).toBe(lost === undefined);
    expect(room.book.openings.hasLocked(liar.person, mia, blocks)).toBe(lost !== undefined);
  },
);
