import type { DeviceId, GradingId, PersonId } from "../../core/identity.ts";
import type { Role } from "../../core/scorebook/entry.ts";
import type { ChiefRow, DeviceRow, DoorTables, GradingRow } from "../../ports/door-tables.ts";
import { deviceValues } from "./device-values.ts";
import { type HubDatabase, withStoreFaults } from "./open-database.ts";
import { inTransaction } from "./transaction.ts";

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
/** The driver puts something of its own into a row; nobody else should see it. */
const asGrading = (raw: unknown): GradingRow | undefined => {
  if (!raw) return undefined;
  const { grading, code, madeBy } = raw as GradingRow;
  return { grading, code, madeBy };
};
const KEEP_DEVICE = `INSERT INTO devices (grading, device, name, wants, state, person, roles, token_hash, address, since_ms)
  VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
  ON CONFLICT (grading, device) DO UPDATE SET name = excluded.name, wants = excluded.wants, state = excluded.state,
    person = excluded.person, roles = excluded.roles, token_hash = excluded.token_hash,
    address = excluded.address, since_ms = excluded.since_ms`;

/** The door of a hub with one SQLite file. Answers at once. */
export function sqliteDoorTables(database: HubDatabase, path: string): DoorTables {
  withStoreFaults(path, () => database.exec(tables));
  const sql = {
    setting: database.prepare("SELECT value FROM settings WHERE name = ?"),
    settings: database.prepare(
      "SELECT name, value FROM settings WHERE substr(name, 1, length(?1)) = ?1 ORDER BY name",
    ),
    keepSetting: database.prepare(
      "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
    ),
    settleSetting: database.prepare(
      "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO NOTHING",
    ),
    takeSetting: database.prepare("DELETE FROM settings WHERE name = ? AND value = ?"),
    chief: database.prepare("SELECT person, device FROM chiefs WHERE token_hash = ?"),
    keepChief: database.prepare(
      "INSERT INTO chiefs (token_hash, device, person, since_ms) VALUES (?, ?, ?, ?)",
    ),
    chiefs: database.prepare(
      "SELECT token_hash AS tokenHash, device, person, since_ms AS sinceMs FROM chiefs ORDER BY since_ms, token_hash",
    ),
    endChief: database.prepare("DELETE FROM chiefs WHERE token_hash = ?"),
    endDevices: database.prepare("UPDATE devices SET state = 'revoked' WHERE token_hash = ?"),
    grading: database.prepare(
      "SELECT grading, code, made_by AS madeBy FROM gradings WHERE grading = ?",
    ),
    byCode: database.prepare(
      "SELECT grading, code, made_by AS madeBy FROM gradings WHERE code = ?",
    ),
    gradings: database.prepare(
      "SELECT grading, code, made_by AS madeBy FROM gradings ORDER BY made_at_ms DESC, grading",
    ),
    makeGrading: database.prepare(
      "INSERT INTO gradings (grading, code, made_by, made_at_ms) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
    ),
    changeCode: database.prepare("UPDATE OR IGNORE gradings SET code = ? WHERE grading = ?"),
    device: database.prepare(`SELECT ${columns} FROM devices WHERE grading = ? AND device = ?`),
    byToken: database.prepare(
      `SELECT ${columns} FROM devices WHERE token_hash = ? ORDER BY since_ms DESC`,
    ),
    devices: database.prepare(
      `SELECT ${columns} FROM devices WHERE grading = ? ORDER BY since_ms, device`,
    ),
    keepDevice: database.prepare(KEEP_DEVICE),
    knock: database.prepare(
      `${KEEP_DEVICE} WHERE devices.state <> 'admitted' AND (devices.state <> 'waiting' OR devices.address = excluded.address)`,
    ),
    decide: database.prepare(
      "UPDATE devices SET state = ?, person = coalesce(?, person), roles = coalesce(?, roles) WHERE grading = ? AND device = ?",
    ),
    forgetNames: database.prepare(
      "UPDATE devices SET name = '' WHERE grading = ?1 AND (?2 IS NULL OR person = ?2)",
    ),
  };
  const guarded = <T>(work: () => T): T => withStoreFaults(path, work);
  const setting = (name: string) => (sql.setting.get(name) as { value: string } | undefined)?.value;
  const byCode = (code: string) => asGrading(sql.byCode.get(code));
  const device = (grading: GradingId, id: DeviceId) => asRow(sql.device.get(grading, id));

  return {
    setting: (name) => guarded(() => setting(name)),
    settings: (prefix) =>
      guarded(() =>
        (sql.settings.all(prefix) as { name: string; value: string }[]).map(({ name, value }) => ({
          name,
          value,
        })),
      ),
    keepSetting: (name, value) => guarded(() => void sql.keepSetting.run(name, value)),
    settleSetting: (name, value) =>
      guarded(() => {
        sql.settleSetting.run(name, value);
        return setting(name) ?? value;
      }),
    takeSetting: (name, value) => guarded(() => sql.takeSetting.run(name, value).changes > 0),
    chief: (tokenHash) =>
      guarded(() => {
        const found = sql.chief.get(tokenHash) as
          | { person: PersonId; device: DeviceId }
          | undefined;
        return found && { person: found.person, device: found.device };
      }),
    keepChief: (tokenHash, id, person, nowMs) =>
      guarded(() => void sql.keepChief.run(tokenHash, id, person, nowMs)),
    chiefs: () =>
      guarded(() =>
        (sql.chiefs.all() as ChiefRow[]).map(({ tokenHash, device, person, sinceMs }) => ({
          tokenHash,
          device,
          person,
          sinceMs,
        })),
      ),
    endToken: (tokenHash) =>
      guarded(() =>
        inTransaction(database, () => {
          sql.endChief.run(tokenHash);
          sql.endDevices.run(tokenHash);
          return sql.byToken.all(tokenHash).flatMap((raw) => asRow(raw) ?? []);
        }),
      ),
    grading: (grading) => guarded(() => asGrading(sql.grading.get(grading))),
    gradingByCode: (code) => guarded(() => byCode(code)),
    gradings: () => guarded(() => sql.gradings.all().flatMap((raw) => asGrading(raw) ?? [])),
    makeGrading: ({ grading, code, madeBy }, nowMs) =>
      guarded(
        () =>
          sql.makeGrading.run(grading, code, madeBy, nowMs).changes > 0 ||
          sql.grading.get(grading) !== undefined,
      ),
    changeCode: (grading, code) =>
      guarded(() => {
        sql.changeCode.run(code, grading);
        return byCode(code)?.grading === grading;
      }),
    device: (grading, id) => guarded(() => device(grading, id)),
    devicesByToken: (tokenHash) =>
      guarded(() => sql.byToken.all(tokenHash).flatMap((raw) => asRow(raw) ?? [])),
    devices: (grading) =>
      guarded(() => sql.devices.all(grading).flatMap((raw) => asRow(raw) ?? [])),
    keepDevice: (row) => guarded(() => void sql.keepDevice.run(...deviceValues(row))),
    knock: (row) => guarded(() => sql.knock.run(...deviceValues(row)).changes > 0),
    decide: (grading, id, { state, person, roles }) =>
      guarded(() => {
        const written = roles ? JSON.stringify(roles) : null;
        sql.decide.run(state, person ?? null, written, grading, id);
        return device(grading, id);
      }),
    forgetNames: (grading, person) =>
      guarded(() => void sql.forgetNames.run(grading, person ?? null)),
  };
}
