import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { gradingRooms } from "../../src/hub/test-room/grading-rooms.ts";
import { lostPlansIn } from "../../src/hub/test-room/lost-plan.ts";
import { withReceipt } from "../../src/line/receipt.ts";
import { aBox } from "../builders/a-box.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { memoryDoor, noRows } from "../world/memory-door.ts";

const blocks = "blocks" as SectionId;

it.each(["at another hub on the store", "at the same hub, started anew meanwhile"])(
  "[H207] a lock that the lost hub had comes again behind its successor's, %s",
  async (where) => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [mia] = day.candidates as [CandidateId];
    const [first, second] = day.judges as [(typeof day.judges)[0], (typeof day.judges)[0]];
    const as = (pen: { device: unknown }, person: PersonId, role: "judge" | "chief") => ({
      person,
      roles: [role] as const,
      device: pen.device as DeviceId,
    });
    const chief = as(day.chief, "chief" as PersonId, "chief");
    const [anna, bo] = [first, second].map(({ pen, person }) => as(pen, person, "judge")) as [
      typeof chief,
      typeof chief,
    ];
    const locks = aLock(first, blocks, [mia], day.plan) as AnyEntry[];
    day.chief.hear(200);
    const given = day.chief.write("judge-replaced", { judge: first.person, by: second.person });
    second.pen.hear(300);
    const theirs = aLock(second, blocks, [mia], [...day.plan, ...locks, given] as AnyEntry[]);
    const lost = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub", { box: aBox() });
    const keptBefore = async (who: typeof chief, lines: readonly AnyEntry[]) => {
      expect((await lost.handIn(who, lines)).refused).toEqual([]);
      const receipts = lost.receiptsFor(lines.map(({ id }) => id)) ?? [];
      return lines.map((line, at) => withReceipt(line, new Map([[line.id, receipts[at] ?? ""]])));
    };
    await lost.handIn(chief, day.plan);
    const ofFirst = await keptBefore(anna, locks);
    const ofChief = await keptBefore(chief, [given] as AnyEntry[]);
    const ofSecond = await keptBefore(bo, theirs as AnyEntry[]);

    const store = openMemoryScorebook();
    await (await GradingRoom.open(aGradingId, store, "hub")).handIn(chief, day.plan);
    const isAnew = where.startsWith("at the same hub");
    const tables = memoryDoor(noRows());
    const hub = (name: string, isShared: boolean) =>
      gradingRooms(store, name, { box: aBox(), lostPlans: lostPlansIn(tables, isShared) });
    const here = hub("hub-1", !isAnew);
    // Of both it was noticed that what they hold is an older copy.
    await tables.keepSetting(`plan-lost/${aGradingId}`, "yes");
    const room = await here.room(aGradingId);
    const before = isAnew ? undefined : hub("hub-2", true);
    await before?.room(aGradingId);
    expect((await room.handIn(chief, ofChief)).refused).toEqual([]);
    await room.hasCome({ device: chief.device, isChief: true, isNew: false });
    expect((await room.handIn(bo, ofSecond)).refused).toEqual([]);
    const there = before ?? hub("hub-1", false);
    const other = await there.room(aGradingId);
    expect((await other.handIn(anna, ofFirst)).refused).toEqual([]);
    expect(other.book.openings.hasLocked(first.person, mia, blocks)).toBe(true);
    here.close();
    there.close();
  },
);
