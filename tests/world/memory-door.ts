import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { DeviceRow, DoorTables, GradingRow } from "../../src/ports/door-tables.ts";

/** What a hub's disk holds of its door. */
export interface DoorRows {
  settings: Map<string, string>;
  chiefs: Map<string, { person: PersonId; device: DeviceId; sinceMs: number }>;
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
  const at = (grading: GradingId, device: DeviceId) => `${grading}/${device}`;
  const hasCode = (code: string) => [...rows.gradings.values()].find((row) => row.code === code);
  const keepDevice = (row: DeviceRow) =>
    void rows.devices.set(at(row.grading, row.device), { ...row });
  return {
    setting: (name) => rows.settings.get(name),
    settings: (prefix) =>
      [...rows.settings]
        .filter(([name]) => name.startsWith(prefix))
        .map(([name, value]) => ({ name, value })),
    keepSetting: (name, value) => void rows.settings.set(name, value),
    settleSetting(name, value) {
      if (!rows.settings.has(name)) rows.settings.set(name, value);
      return rows.settings.get(name) ?? value;
    },
    takeSetting: (name, value) => rows.settings.get(name) === value && rows.settings.delete(name),
    chief(tokenHash) {
      const found = rows.chiefs.get(tokenHash);
      return found && { person: found.person, device: found.device };
    },
    keepChief: (tokenHash, device, person, sinceMs) =>
      void rows.chiefs.set(tokenHash, { device, person, sinceMs }),
    chiefs: () =>
      [...rows.chiefs]
        .map(([tokenHash, row]) => ({ tokenHash, ...row }))
        .sort((a, b) => a.sinceMs - b.sinceMs),
    endToken(tokenHash) {
      rows.chiefs.delete(tokenHash);
      const its = [...rows.devices.values()].filter((row) => row.tokenHash === tokenHash);
      const ended = its.map((row) => ({ ...row, state: "revoked" as const }));
      for (const row of ended) keepDevice(row);
      return ended;
    },
    grading: (grading) => rows.gradings.get(grading),
    gradingByCode: hasCode,
    gradings: () => [...rows.gradings.values()].reverse(),
    makeGrading(row) {
      if (rows.gradings.has(row.grading)) return true;
      if (hasCode(row.code)) return false;
      rows.gradings.set(row.grading, row);
      return true;
    },
    changeCode(grading, code) {
      const row = rows.gradings.get(grading);
      if ((hasCode(code) ?? row) !== row || !row) return false;
      rows.gradings.set(grading, { ...row, code });
      return true;
    },
    device: (grading, device) => rows.devices.get(at(grading, device)),
    devicesByToken: (tokenHash) =>
      [...rows.devices.values()]
        .filter((row) => row.tokenHash === tokenHash)
        .sort((a, b) => b.sinceMs - a.sinceMs),
    devices: (grading) =>
      [...rows.devices.values()]
        .filter((row) => row.grading === grading)
        .sort((a, b) => a.sinceMs - b.sinceMs),
    keepDevice,
    knock(row) {
      const before = rows.devices.get(at(row.grading, row.device));
      const isElsewhere = before?.state === "waiting" && before.address !== row.address;
      const isSomebodys = before !== undefined && before.person !== null;
      if (before?.state === "admitted" || isSomebodys || isElsewhere) return false;
      keepDevice(row);
      return true;
    },
    decide(grading, device, { state, person, roles }) {
      const row = rows.devices.get(at(grading, device));
      if (!row) return undefined;
      keepDevice({ ...row, state, person: person ?? row.person, roles: [...(roles ?? row.roles)] });
      return rows.devices.get(at(grading, device));
    },
    forgetNames(grading, person) {
      for (const row of rows.devices.values())
        if (row.grading === grading && row.person === person) keepDevice({ ...row, name: "" });
    },
    forgetDevices(grading, devices) {
      for (const row of rows.devices.values())
        if (row.grading === grading && devices.includes(row.device))
          keepDevice({ ...row, name: "" });
    },
  };
}
