import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import { plainName } from "./erasable.ts";

/** Notes beside the store whose names are forgotten, before they are; see `ErasedLog`. */
type Note = (devices: readonly DeviceId[]) => void;
const nowhere: Note = () => undefined;

/**
 * What somebody's devices were called at a test's door is forgotten, also of devices that only knocked under a name of theirs and were let in as nobody.
 * What they wrote, and whether they are in, stays.
 * @param called  what their own records call them; their devices' names are known here.
 * @param note  told of the devices: an older copy may not know yet whose they are.
 */
export async function forgetAtDoor(
  door: DoorTables,
  grading: GradingId,
  about: string,
  called: readonly string[] = [],
  note = nowhere,
): Promise<void> {
  const rows = (await door.devices(grading)).filter(({ name }) => name);
  const own = rows.flatMap(({ person, name }) => (person === about ? [name] : []));
  const theirs = new Set([...own, ...called].filter(Boolean).map(plainName));
  const isTheirs = ({ person, name }: (typeof rows)[number]): boolean =>
    person === about || (!person && theirs.has(plainName(name)));
  const devices = rows.filter(isTheirs).map(({ device }) => device);
  note(devices);
  if (devices.length > 0) await door.forgetDevices(grading, devices);
}

/** Nobody's device has a name at this door any more, whether it was let in or not. */
export async function forgetDoor(
  door: DoorTables,
  grading: GradingId,
  note = nowhere,
): Promise<void> {
  const named = (await door.devices(grading)).filter(({ name }) => name);
  note(named.map(({ device }) => device));
  await door.forgetNames(grading);
}
