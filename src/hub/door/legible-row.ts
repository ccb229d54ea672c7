import { DeviceAtDoor } from "../../line/doors.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";

/** What anybody may know of a device: never its token, nor where it knocked from. */
export const shownRow = ({ device, name, wants, state, person, roles, sinceMs }: DeviceRow) => ({
  device,
  name,
  wants,
  state,
  roles,
  sinceMs,
  ...(person === null ? {} : { person }),
});

/** Whether a row of the door says what one can say; it bears no seal, so nobody can tell whether it is as it was written. */
export const isLegible = (row: DeviceRow): boolean => DeviceAtDoor.safeParse(shownRow(row)).success;

/** A row without what cannot be read in it, so that the chief can still shut that device out; undefined where too little is left. */
export function legible(row: DeviceRow): DeviceAtDoor | undefined {
  const read = DeviceAtDoor.safeParse(shownRow(row));
  if (read.success) return read.data;
  const wrong = new Set(read.error.issues.map(({ path }) => path[0]));
  const rest = Object.entries(shownRow(row)).filter(([key]) => !wrong.has(key));
  return DeviceAtDoor.safeParse(Object.fromEntries(rest)).data;
}
