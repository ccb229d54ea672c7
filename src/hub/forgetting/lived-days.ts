import * as z from "zod/mini";
import type { DoorTables } from "../../ports/door-tables.ts";

const NAME = "days-lived";
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** A clock that goes back by more than the first, or on by more than the second since the hub last looked, may be wrong. */
const JUMP_MS = { back: HOUR_MS, on: 100 * DAY_MS };

/** So many of the last days are known one by one. */
const MOST_DAYS = 1000;

/** What the hub has noted of time. Moments are the hub's wall clock, milliseconds since 1970, and only as good as that. */
const LivedDays = z.object({
  /** Days on which the hub was at work: no clock makes more than one of a day. */
  count: z.int(),
  /** When it last looked. */
  atMs: z.number(),
  /** The last jump, and how many days had been lived through by then. */
  jumped: z.nullable(z.object({ atMs: z.number(), count: z.int() })),
  /** Which days those were, counted since 1970, as they came. Earlier versions did not note them. */
  days: z._default(z.array(z.int()), []),
  /** When it had looked last before the last of these days; null where that cannot be the clock's straying. */
  cameFromMs: z._default(z.nullable(z.number()), null),
  /** What the clock went back from, until it comes there again. */
  wentBackFromMs: z._default(z.nullable(z.number()), null),
});
export type LivedDays = z.infer<typeof LivedDays>;
type Door = Pick<DoorTables, "setting" | "keepSetting">;

/** As last noted; before the first look, a hub that has lived through no day. */
export async function livedDays(door: Door): Promise<LivedDays> {
  const kept = await door.setting(NAME);
  const noted = LivedDays.parse(
    kept === undefined ? { count: 0, atMs: 0, jumped: null } : JSON.parse(kept),
  );
  return noted.count > 0 && noted.days.length === 0
    ? { ...noted, days: [dayOf(noted.atMs)] }
    : noted;
}

/** Looks at the clock, and notes a day that was not noted yet. @returns what stands then. */
export async function liveOn(door: Door, nowMs: number): Promise<LivedDays> {
  const before = await livedDays(door);
  const lived = withoutStrayDay(before, nowMs);
  const isBack = nowMs < before.atMs - JUMP_MS.back;
  const isOn = nowMs > before.atMs + JUMP_MS.on;
  // Come to where it had gone back from: how far that is says nothing of how long it took.
  const isAgain = lived.wentBackFromMs !== null && nowMs >= lived.wentBackFromMs - JUMP_MS.back;
  const isNewDay = dayOf(nowMs) > dayOf(lived.atMs) && !lived.days.includes(dayOf(nowMs));
  // After its very first day, or where it had been behind, nobody knows which of the two is wrong.
  const mayStray = lived.count > 1 && !isAgain;
  const count = lived.count + (isNewDay ? 1 : 0);
  const now: LivedDays = {
    count,
    atMs: nowMs,
    jumped: isBack || isOn || isAgain ? { atMs: nowMs, count } : lived.jumped,
    days: isNewDay ? [...lived.days, dayOf(nowMs)].slice(-MOST_DAYS) : lived.days,
    cameFromMs: isNewDay ? (mayStray ? lived.atMs : null) : lived.cameFromMs,
    wentBackFromMs:
      nowMs < lived.atMs - JUMP_MS.back ? lived.atMs : isAgain ? null : lived.wentBackFromMs,
  };
  await door.keepSetting(NAME, JSON.stringify(now));
  return now;
}

/** Where the clock has come back from a later day to where it was before that, that day was none. */
function withoutStrayDay(lived: LivedDays, nowMs: number): LivedDays {
  const { count, days, cameFromMs } = lived;
  const last = days.at(-1);
  const isStray =
    last !== undefined &&
    cameFromMs !== null &&
    last > dayOf(nowMs) &&
    nowMs >= cameFromMs - JUMP_MS.back;
  return isStray
    ? { ...lived, count: count - 1, atMs: cameFromMs, days: days.slice(0, -1), cameFromMs: null }
    : lived;
}

/** Whether the clock has gone on as it should for a day since it last jumped: before that, nothing goes by itself. */
export const isSettled = ({ count, jumped }: LivedDays, nowMs: number): boolean =>
  jumped === null || (nowMs - jumped.atMs >= DAY_MS && count > jumped.count);

function dayOf(atMs: number): number {
  return Math.floor(atMs / DAY_MS);
}
