import * as z from "zod/mini";
import { namesMonths } from "../../belt-test/scorebook/retention.ts";
import type { GradingId } from "../../book/identity.ts";
import { RetentionRule } from "../../line/doors.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import { settingOf } from "../store/setting-of.ts";

const RULE = "names-kept";
const WARNED = "names-warned/";
const GONE = "names-gone/";
const Warned = z.object({ due: z.string(), atMs: z.number(), lived: z.optional(z.number()) });
const Gone = z.object({ atMs: z.number(), people: z.number() });

/** A test whose names went by themselves. Time is the hub's wall clock, milliseconds since 1970. */
export interface GoneByItself {
  grading: GradingId;
  atMs: number;
  people: number;
}

/** What was chosen; where nothing was, the usual time, and nothing goes by itself. */
export async function retentionRule(door: DoorTables): Promise<RetentionRule> {
  const kept = await door.setting(RULE);
  return kept === undefined
    ? { months: namesMonths.usual, byItself: false }
    : RetentionRule.parse(JSON.parse(kept));
}
export async function keepRetentionRule(door: DoorTables, rule: RetentionRule): Promise<void> {
  await door.keepSetting(RULE, JSON.stringify(rule));
}

/**
 * On how many days the hub was at work since somebody was first shown that the names of a test are due on this very day; null when nobody was.
 * @param lived  days lived through by now. An earlier hub noted a moment and no day: for what it showed, counting begins when it is asked.
 */
export async function daysTold(
  door: DoorTables,
  grading: GradingId,
  due: string,
  lived: number,
): Promise<number | null> {
  const kept = await door.setting(WARNED + grading);
  if (kept === undefined) return null;
  const warned = settingOf(Warned, kept);
  // Shown anew, where what was noted cannot be read: nobody's names go before their time.
  if (warned?.due !== due) return null;
  if (warned.lived === undefined)
    await door.keepSetting(WARNED + grading, JSON.stringify({ ...warned, lived }));
  return lived - (warned.lived ?? lived);
}
/** The first showing counts; another due day, after another choice of months, is shown anew. */
export async function keepWarned(
  door: DoorTables,
  grading: GradingId,
  due: string,
  at: { atMs: number; lived: number },
): Promise<void> {
  if ((await daysTold(door, grading, due, at.lived)) === null)
    await door.keepSetting(WARNED + grading, JSON.stringify({ due, ...at }));
}

export async function keepGone(door: DoorTables, { grading, ...gone }: GoneByItself) {
  await door.keepSetting(GONE + grading, JSON.stringify(gone));
}
export async function goneByItself(door: DoorTables): Promise<GoneByItself[]> {
  return (await door.settings(GONE)).flatMap(({ name, value }) => {
    const gone = settingOf(Gone, value);
    return gone ? [{ ...gone, grading: name.slice(GONE.length) as GradingId }] : [];
  });
}
