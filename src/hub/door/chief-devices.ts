import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";

/** Characters of an id that somebody must give. */
const LEAST = 6;

/** A device on which somebody is a chief. Time is the hub's wall clock, milliseconds since 1970. */
export interface AdmittedChief {
  /** The hash of its token: names it and opens nothing. */
  id: string;
  sinceMs: number;
  /** Came in with the hub's key, and so is chief of every test; otherwise let in as chief of one. */
  isHubs: boolean;
  /** Under which ids it writes, and where. */
  in: { grading: GradingId; device: DeviceId; name: string }[];
}

/** Every device that is chief of anything at this hub, the hub's own first, then the oldest first. */
export async function chiefDevices(door: DoorTables): Promise<AdmittedChief[]> {
  const found = new Map<string, AdmittedChief>();
  for (const { tokenHash: id, sinceMs } of await door.chiefs())
    found.set(id, { id, sinceMs: momentIn(sinceMs), isHubs: true, in: [] });
  for (const { grading } of await door.gradings())
    for (const { tokenHash: id, state, roles, sinceMs, device, name } of await door.devices(
      grading,
    )) {
      if (state !== "admitted" || !roles.includes("chief")) continue;
      const one = found.get(id) ?? { id, sinceMs: momentIn(sinceMs), isHubs: false, in: [] };
      one.in.push({ grading, device, name });
      found.set(id, one);
    }
  return [...found.values()];
}

/** Of a damaged row the beginning of time: that device can still be ended. */
const momentIn = (kept: unknown): number => (typeof kept === "number" ? kept : 0);

/** The one that an id, or as much of it as tells it from the others, means; undefined where there is none, or more than one. */
export function meantDevice(
  devices: readonly AdmittedChief[],
  asked: string,
): AdmittedChief | undefined {
  const found = devices.filter(
    ({ id }) => asked.length >= LEAST && id.startsWith(asked.toLowerCase()),
  );
  return found.length === 1 ? found[0] : undefined;
}
