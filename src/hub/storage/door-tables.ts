import type { DeviceId, GradingId, PersonId } from "../../core/identity.ts";
import type { Role } from "../../core/scorebook/entry.ts";
import { type HubDatabase, withStoreFaults } from "./open-database.ts";

type DoorState = "waiting" | "admitted" | "refused" | "revoked";

/** A device at the door of one grading. */
export interface DeviceRow {
  grading: GradingId;
  device: DeviceId;
  name: string;
  wants: Role;
  state: DoorState;
  person: PersonId | null;
  roles: Role[];
  tokenHash: string;
  /** Where it knocked from, so that nobody else takes its place while it waits. */
  address: string;
  sinceMs: number;
}
export interface GradingRow {
  grading: GradingId;
  code: string;
  madeBy: PersonId;
}

const tables = `
  CREATE TABLE IF NOT EXISTS settings (name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
  CREATE TABLE IF NOT EXISTS chiefs (
    token_hash TEXT PRIMARY KEY, device TEXT NOT NULL, person TEXT NOT NULL, since_ms INTEGER NOT NULL
  ) WITHOUT ROWID;
  CREATE TABLE IF NOT EXISTS gradings (
    grading TEXT PRIMARY KEY, code TEXT NOT NULL UNIQUE, made_by TEXT NOT NULL, made_at_ms INTEGER NOT NULL
  ) WITHOUT ROWID;
  CREATE TABLE IF NOT EXISTS devices (
    grading TEXT NOT NULL, device TEXT NOT NULL, name TEXT NOT NULL, wants TEXT NOT NULL, state TEXT NOT NULL,
    person TEXT, roles TEXT NOT NULL, token_hash TEXT NOT NULL, address TEXT NOT NULL, since_ms INTEGER NOT NULL,
    PRIMARY KEY (grading, device)
  ) WITHOUT ROWID;
  CREATE INDEX IF NOT EXISTS devices_by_token ON devices (token_hash);
`;

const columns =
  "grading, device, name, wants, state, person, roles, token_hash AS tokenHash, address, since_ms AS sinceMs";
type Raw = Omit<DeviceRow, "roles"> & { roles: string };
const asRow = (raw: unknown): DeviceRow | undefined => {
  if (!raw) return undefined;
  const { grading, device, name, wants, state, person, roles, tokenHash, address, sinceMs } =
    raw as Raw;
  const read = JSON.parse(roles) as Role[];
  return { grading, device, name, wants, state, person, roles: read, tokenHash, address, sinceMs };
};

/** Who may come in: rows and nothing else; the rules are the front desk's. */
export function openDoorTables(database: HubDatabase, path: string) {
  withStoreFaults(path, () => database.exec(tables));
  const sql = {
    setting: database.prepare("SELECT value FROM settings WHERE name = ?"),
    keepSetting: database.prepare(
      "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
    ),
    dropSetting: database.prepare("DELETE FROM settings WHERE name = ?"),
    chief: database.prepare("SELECT person, device FROM chiefs WHERE token_hash = ?"),
    keepChief: database.prepare(
      "INSERT INTO chiefs (token_hash, device, person, since_ms) VALUES (?, ?, ?, ?)",
    ),
    grading: database.prepare(
      "SELECT grading, code, made_by AS madeBy FROM gradings WHERE grading = ?",
    ),
    byCode: database.prepare(
      "SELECT grading, code, made_by AS madeBy FROM gradings WHERE code = ?",
    ),
    gradings: database.prepare(
      "SELECT grading, code, made_by AS madeBy FROM gradings ORDER BY made_at_ms DESC, grading",
    ),
    keepGrading: database.prepare(
      "INSERT INTO gradings (grading, code, made_by, made_at_ms) VALUES (?, ?, ?, ?) ON CONFLICT (grading) DO UPDATE SET code = excluded.code",
    ),
    device: database.prepare(`SELECT ${columns} FROM devices WHERE grading = ? AND device = ?`),
    byToken: database.prepare(
      `SELECT ${columns} FROM devices WHERE token_hash = ? ORDER BY since_ms DESC`,
    ),
    devices: database.prepare(
      `SELECT ${columns} FROM devices WHERE grading = ? ORDER BY since_ms, device`,
    ),
    keepDevice: database.prepare(
      `INSERT INTO devices (grading, device, name, wants, state, person, roles, token_hash, address, since_ms)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
       ON CONFLICT (grading, device) DO UPDATE SET name = excluded.name, wants = excluded.wants, state = excluded.state,
         person = excluded.person, roles = excluded.roles, token_hash = excluded.token_hash,
         address = excluded.address, since_ms = excluded.since_ms`,
    ),
  };
  const guarded = <T>(work: () => T): T => withStoreFaults(path, work);

  return {
    setting: (name: string) =>
      guarded(() => (sql.setting.get(name) as { value: string } | undefined)?.value),
    keepSetting: (name: string, value: string) => guarded(() => sql.keepSetting.run(name, value)),
    dropSetting: (name: string) => guarded(() => sql.dropSetting.run(name)),
    chief: (tokenHash: string) =>
      guarded(() => sql.chief.get(tokenHash) as { person: PersonId; device: DeviceId } | undefined),
    keepChief: (tokenHash: string, device: DeviceId, person: PersonId, nowMs: number) =>
      guarded(() => sql.keepChief.run(tokenHash, device, person, nowMs)),
    grading: (grading: GradingId) =>
      guarded(() => sql.grading.get(grading) as GradingRow | undefined),
    gradingByCode: (code: string) => guarded(() => sql.byCode.get(code) as GradingRow | undefined),
    gradings: () => guarded(() => sql.gradings.all() as GradingRow[]),
    keepGrading: ({ grading, code, madeBy }: GradingRow, nowMs: number) =>
      guarded(() => sql.keepGrading.run(grading, code, madeBy, nowMs)),
    device: (grading: GradingId, device: DeviceId) =>
      guarded(() => asRow(sql.device.get(grading, device))),
    devicesByToken: (tokenHash: string) =>
      guarded(() => sql.byToken.all(tokenHash).flatMap((raw) => asRow(raw) ?? [])),
    devices: (grading: GradingId) =>
      guarded(() => sql.devices.all(grading).flatMap((raw) => asRow(raw) ?? [])),
    keepDevice: (row: DeviceRow) =>
      guarded(() =>
        sql.keepDevice.run(
          row.grading,
          row.device,
          row.name,
          row.wants,
          row.state,
          row.person,
          JSON.stringify(row.roles),
          row.tokenHash,
          row.address,
          row.sinceMs,
        ),
      ),
  };
}
export type DoorTables = ReturnType<typeof openDoorTables>;
