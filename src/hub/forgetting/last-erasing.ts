import type { DoorTables } from "../../ports/door-tables.ts";
import type { ErasedLog } from "../store/erased-log.ts";

/**
 * When somebody was erased last, by this hub's clock: copies from before hold them. What was noted by a clock that was ahead counts as noted when it is first
 * met by one that is not, else no copy of today would be newer.
 * @returns 0 where nobody was
 */
export async function lastErasing(
  log: Pick<ErasedLog, "all">,
  door: Pick<DoorTables, "setting" | "keepSetting">,
  nowMs: number,
): Promise<number> {
  const last = Math.max(0, ...log.all().map(({ at }) => Date.parse(at) || 0));
  if (last <= nowMs) return last;
  const name = `erased-ahead/${last}`;
  const met = Number(await door.setting(name));
  if (met > 0 && met <= nowMs) return met;
  await door.keepSetting(name, String(nowMs));
  return nowMs;
}
