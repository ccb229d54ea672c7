import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../src/belt-test/scorebook/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/room/grading-room.ts";
import { Rooms } from "../../src/hub/room/rooms.ts";
import { openMemoryScorebook } from "../../src/hub/store/memory-scorebook.ts";
import type { News } from "../../src/line/hub-news.ts";
import { withReceipt } from "../../src/line/receipt.ts";
import type { StoreNews } from "../../src/ports/store-news.ts";
import { aBox } from "../builders/a-box.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aTestDay } from "../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;

/** News between hubs in one process, each of which hears the others. */
function aHall(): () => StoreNews {
  const all = new Map<object, (news: News) => void>();
  return () => {
    const me = {};
    return {
      tell: (news) => {
        for (const [one, listener] of all) if (one !== me) listener(news);
      },
      onNews: (listener) => {
        all.set(me, listener);
        return () => all.delete(me);
      },
      isHearing: true,
      onHearing: () => () => undefined,
      close: async () => undefined,
    };
  };
}

it("[H207] what came with its receipt to one hub on a store is none of another's news: a lock that the lost hub had comes again to it, behind its successor's", async () => {
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
  const news = aHall();
  const [here, there] = [1, 2].map(
    (hub) => new Rooms(store, `hub-${hub}`, { news: news(), box: aBox() }),
  ) as [Rooms, Rooms];
  const room = await here.room(aGradingId);
  for (const [who, lines] of [
    [chief, ofChief],
    [bo, ofSecond],
  ] as const)
    expect((await room.handIn(who, lines)).refused).toEqual([]);
  // It reads what the other took when it is asked for.
  const other = await there.room(aGradingId);
  expect((await other.handIn(anna, ofFirst)).refused).toEqual([]);
  expect(other.book.openings.hasLocked(first.person, mia, blocks)).toBe(true);
  here.close();
  there.close();
});
