import type { DoorTables } from "../../ports/door-tables.ts";
import type { ErasedLog } from "../store/erased-log.ts";

/**
 * When somebody, or a name at a door, was erased last, by this hub's clock: copies from before hold them. What was noted by a clock that was ahead counts as
 * noted when it is first met by one that is not, else no copy of today would be newer.
 * @returns 0 where nobody was
 */
export async function lastErasing(
  log: Pick<ErasedLog, "all" | "devices">,
  door: Pick<DoorTables, "setting" | "keepSetting">,
  nowMs: number,
): Promise<number> {
  const moments = [...log.all(), ...log.devices()].map(({ at }) => Date.parse(at) || 0);
  const last = Math.max(0, ...moments.filter((at) => at <= nowMs));
  const ahead = Math.max(0, ...moments.filter((at) => at > nowMs));
  return ahead > 0 ? Math.max(last, await metAt(door, ahead, nowMs)) : last;
}

/** When a note of this moment, which is still to come, was first met. */
async function metAt(
  door: Pick<DoorTables, "setting" | "keepSetting">,
  ahead: number,
  nowMs: number,
): Promise<number> {
  const name = `erased-ahead/${ahead}`;
  const met = Number(await door.setting(name));
  if (met > 0 && met <= nowMs) return met;
  await door.keepSetting(name, String(nowMs));
  return nowMs;
}
