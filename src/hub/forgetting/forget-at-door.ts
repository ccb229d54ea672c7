import type { GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import { plainName } from "./erasable.ts";

/**
 * What somebody's devices were called at a test's door is forgotten, also of devices that only knocked under a name of theirs and were let in as nobody.
 * What they wrote, and whether they are in, stays.
 * @param called  what their own records call them; their devices' names are known here.
 */
export async function forgetAtDoor(
  door: DoorTables,
  grading: GradingId,
  about: string,
  called: readonly string[] = [],
): Promise<void> {
  const rows = (await door.devices(grading)).filter(({ name }) => name);
  const own = rows.flatMap(({ person, name }) => (person === about ? [name] : []));
  const theirs = new Set([...own, ...called].filter(Boolean).map(plainName));
  for (const { person, device, name } of rows)
    if (device === about || (!person && theirs.has(plainName(name))))
      await door.forgetDevice(grading, device);
  await door.forgetNames(grading, about);
}
