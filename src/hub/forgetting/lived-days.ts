import * as z from "zod/mini";
import type { DoorTables } from "../../ports/door-tables.ts";

const NAME = "days-lived";
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** A clock that goes back by more than the first, or on by more than the second since the hub last looked, may be wrong. */
const JUMP_MS = { back: HOUR_MS, on: 100 * DAY_MS };

/** What the hub has noted of time. Moments are the hub's wall clock, milliseconds since 1970, and only as good as that. */
const LivedDays = z.object({
  /** Days on which the hub was at work: no clock makes more than one of a day. */
  count: z.int(),
  /** When it last looked. */
  atMs: z.number(),
  /** The last jump, and how many days had been lived through by then. */
  jumped: z.nullable(z.object({ atMs: z.number(), count: z.int() })),
});
export type LivedDays = z.infer<typeof LivedDays>;

/** As last noted; before the first look, a hub that has lived through no day. */
export async function livedDays(door: DoorTables): Promise<LivedDays> {
  const kept = await door.setting(NAME);
  return kept === undefined
    ? { count: 0, atMs: 0, jumped: null }
    : LivedDays.parse(JSON.parse(kept));
}

/** Looks at the clock, and notes a day that was not noted yet. @returns what stands then. */
export async function liveOn(door: DoorTables, nowMs: number): Promise<LivedDays> {
  const before = await livedDays(door);
  const isBack = nowMs < before.atMs - JUMP_MS.back;
  const isOn = nowMs > before.atMs + JUMP_MS.on;
  const isNewDay = dayOf(nowMs) > dayOf(before.atMs);
  const count = before.count + (isNewDay ? 1 : 0);
  const jumped = isBack || isOn ? { atMs: nowMs, count } : before.jumped;
  const lived = { count, atMs: nowMs, jumped };
  await door.keepSetting(NAME, JSON.stringify(lived));
  return lived;
}

/** Whether the clock has gone on as it should for a day since it last jumped: before that, nothing goes by itself. */
export const isSettled = ({ count, jumped }: LivedDays, nowMs: number): boolean =>
  jumped === null || (nowMs - jumped.atMs >= DAY_MS && count > jumped.count);

const dayOf = (atMs: number): number => Math.floor(atMs / DAY_MS);
