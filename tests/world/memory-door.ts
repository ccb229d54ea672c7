import type { DeviceId, GradingId, PersonId } from "../../src/core/identity.ts";
import type { DeviceRow, DoorTables, GradingRow } from "../../src/hub/storage/door-tables.ts";

/** What a hub's disk holds of its door. */
export interface DoorRows {
  settings: Map<string, string>;
  chiefs: Map<string, { person: PersonId; device: DeviceId }>;
  gradings: Map<GradingId, GradingRow>;
  devices: Map<string, DeviceRow>;
}

export const noRows = (): DoorRows => ({
  settings: new Map(),
  chiefs: new Map(),
  gradings: new Map(),
  devices: new Map(),
});
export const copyOf = (rows: DoorRows): DoorRows => ({
  settings: new Map(rows.settings),
  chiefs: new Map(rows.chiefs),
  gradings: new Map(rows.gradings),
  devices: new Map(rows.devices),
});

/** The door's tables without a database; every write is on the disk when it returns, as SQLite's is. */
export function memoryDoor(rows: DoorRows): DoorTables {
  const written = { changes: 1, lastInsertRowid: 0 };
  return {
    setting: (name) => rows.settings.get(name),
    keepSetting(name, value) {
      rows.settings.set(name, value);
      return written;
    },
    dropSetting(name) {
      rows.settings.delete(name);
      return written;
    },
    chief: (tokenHash) => rows.chiefs.get(tokenHash),
    keepChief(tokenHash, device, person) {
      rows.chiefs.set(tokenHash, { device, person });
      return written;
    },
    grading: (grading) => rows.gradings.get(grading),
    gradingByCode: (code) => [...rows.gradings.values()].find((row) => row.code === code),
    gradings: () => [...rows.gradings.values()],
    keepGrading(row) {
      rows.gradings.set(row.grading, row);
      return written;
    },
    device: (grading, device) => rows.devices.get(`${grading}/${device}`),
    devicesByToken: (tokenHash) =>
      [...rows.devices.values()].filter((row) => row.tokenHash === tokenHash),
    devices: (grading) => [...rows.devices.values()].filter((row) => row.grading === grading),
    keepDevice(row) {
      rows.devices.set(`${row.grading}/${row.device}`, row);
      return written;
    },
  };
}
