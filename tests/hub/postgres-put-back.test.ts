import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import { AHub } from "../builders/a-hub.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aPostgresDatabase, runSql } from "../builders/a-postgres-database.ts";
import type { ATablet } from "../builders/a-tablet.ts";
import { aTestDay, type TestDay } from "../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;

type Place = { feed: string; cursor: number; link: string };
const placeOf = (tablet: ATablet): Place => ({
  feed: tablet.frames("welcome")[0]?.feed ?? "",
  cursor: tablet.frames("entries").at(-1)?.cursor ?? 0,
  link: tablet.frames("entries").at(-1)?.link ?? "",
});
const sent = async (tablet: ATablet, ...entries: AnyEntry[]) => {
  tablet.append(...entries);
  await tablet.until(() => entries.every(({ id }) => tablet.acknowledged.includes(id)), "it");
};
/** As a tablet does: what is only too far ahead it offers again, until it is taken. */
const offered = async (tablet: ATablet, ...entries: AnyEntry[]) => {
  await expect
    .poll(
      () => {
        tablet.append(...entries);
        return entries.every(({ id }) => tablet.acknowledged.includes(id));
      },
      { timeout: 8_000, interval: 300 },
    )
    .toBe(true);
};
const refusal = async (tablet: ATablet, ...entries: AnyEntry[]) => {
  const before = tablet.refused.length;
  tablet.append(...entries);
  await tablet.until(() => tablet.refused.length > before, "an answer");
  return tablet.refused[before]?.[1];
};

let url = "";
let here: AHub;
let there: AHub;
let day: TestDay;
let words: [AnyEntry[], AnyEntry[]];
let places: Record<"chief" | "judge-1" | "judge-2", Place>;
/** Two hubs, and what an older copy of their database lacks: both judges' locks, and what the chief said in between. */
beforeEach(async () => {
  url = await aPostgresDatabase();
  [here, there] = await Promise.all([AHub.start({ store: url }), AHub.start({ store: url })]);
  day = aTestDay({ judges: 2, candidates: 1 });
  const chief = await here.tablet("chief", ["chief"]);
  await sent(chief, ...(day.plan as AnyEntry[]));
  const judges = [
    await here.tablet("judge-1", ["judge"]),
    await there.tablet("judge-2", ["judge"]),
  ];
  for (const { pen } of day.judges) pen.hear(100);
  const lockedBy = (one: TestDay["judges"][number]): AnyEntry[] =>
    aLock(one, blocks, [mia], day.plan);
  words = day.judges.map(lockedBy) as typeof words;
  for (const [at, judge] of judges.entries()) await sent(judge, ...(words[at] as AnyEntry[]));
  const tablets = [chief, ...judges] as [ATablet, ATablet, ATablet];
  const all = day.plan.length + words.flat().length;
  for (const tablet of tablets)
    await tablet.until(
      () => new Set([...tablet.ids, ...tablet.acknowledged]).size === all,
      "all of it",
    );
  // Everybody has read to the end.
  await Promise.all(tablets.map((tablet) => tablet.settled()));
  places = {
    chief: placeOf(tablets[0]),
    "judge-1": placeOf(tablets[1]),
    "judge-2": placeOf(tablets[2]),
  };
  await Promise.all([here.stop(), there.stop()]);
  await runSql(
    url,
    `ALTER TABLE entries DISABLE TRIGGER USER; DELETE FROM entries WHERE seq > ${day.plan.length};
     ALTER TABLE entries ENABLE TRIGGER USER`,
  );
  await Promise.all([here.startAgain({ store: url }), there.startAgain({ store: url })]);
});
afterEach(() => Promise.all([here.end(), there.end()]));

const chiefComes = async (hub: AHub) => {
  const chief = await hub.tablet("chief", ["chief"], places.chief);
  chief.say({ frame: "holding", unsent: 0 });
  return chief;
};

describe("two hubs on a database that was put back from an older copy", () => {
  it("[H200] take what everybody had, where the chief's tablet comes to one and a judge's to the other after it", async () => {
    await chiefComes(here);
    await expect
      .poll(() => runSql(url, "SELECT 1 FROM settings WHERE starts_with(name, 'plan-lost/')"))
      .toEqual([]);
    const judge = await there.tablet("judge-2", ["judge"], places["judge-2"]);
    expect(judge.frames("welcome")[0]?.putBack).toBe(true);
    await offered(judge, ...words[1]);
  });

  it("[H200] the same where the judge's comes first, and waits so long", async () => {
    const judge = await there.tablet("judge-2", ["judge"], places["judge-2"]);
    expect(await refusal(judge, ...words[1])).toBe("LAMPORT_TOO_HIGH");
    await chiefComes(here);
    await offered(judge, ...words[1]);
    // Whoever comes still later waits for nobody.
    const other = await there.tablet("judge-1", ["judge"], places["judge-1"]);
    await offered(other, ...words[0]);
  });

  it("[H200] also where the hub that the chief's tablet came to has been started anew meanwhile", async () => {
    await chiefComes(here);
    await here.stop();
    const judge = await there.tablet("judge-2", ["judge"], places["judge-2"]);
    expect(await refusal(judge, ...words[1])).toBe("LAMPORT_TOO_HIGH");
    await here.startAgain({ store: url });
    await chiefComes(here);
    await offered(judge, ...words[1]);
  });

  it("[H201] both wait, also the one at which nobody has read further, and open nothing meanwhile", async () => {
    // Its room is open already when the other one hears that something was lost.
    const away = await there.tablet("judge-2", ["judge"]);
    await here.tablet("judge-1", ["judge"], places["judge-1"]);
    expect(await refusal(away, ...words[1])).toBe("LAMPORT_TOO_HIGH");
    await chiefComes(there);
    await offered(away, ...words[1]);
    const judge = await here.tablet("judge-1", ["judge"], places["judge-1"]);
    await offered(judge, ...words[0]);
    const { book } = await there.rooms.room(aGradingId);
    await expect.poll(() => book.openings.isRevealed(mia, blocks)).toBe(true);
  });

  it("[H201] a wait is ended by no hub whose own book is older than the copy", async () => {
    await here.stop();
    // It was at work before the copy was put in its place, the chief was there, and it has not looked since.
    await chiefComes(there);
    const room = await there.rooms.room(aGradingId);
    await sent(await there.tablet("judge-2", ["judge"]), ...words[1]);
    await room.refresh();
    await runSql(
      url,
      `ALTER TABLE entries DISABLE TRIGGER USER; DELETE FROM entries WHERE seq > ${day.plan.length};
       ALTER TABLE entries ENABLE TRIGGER USER;
       INSERT INTO settings (name, value) VALUES ('plan-lost/${aGradingId}', 'yes')`,
    );
    await expect(room.refresh()).rejects.toThrow();
    expect(
      await runSql(url, "SELECT value FROM settings WHERE starts_with(name, 'plan-lost/')"),
    ).toEqual([{ value: "yes" }]);
  });
});
