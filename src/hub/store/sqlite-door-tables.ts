import type { DeviceId, GradingId, PersonId } from "../../book/identity.ts";
import type { ChiefRow, DeviceRow, DoorTables, GradingRow } from "../../ports/door-tables.ts";
import { deviceValues, rolesIn } from "./device-values.ts";
import type { HubDatabase } from "./open-database.ts";
import { makeOwn } from "./own-schema.ts";
import { SqliteSweeper } from "./sqlite-sweeper.ts";
import { doorTables } from "./sqlite-tables.ts";
import { asBytes, asText } from "./sqlite-text.ts";
import { withStoreFaults } from "./store-faults.ts";
import type { StoredBooks } from "./stored-books.ts";
import { inTransaction } from "./transaction.ts";
import { whenFree } from "./when-free.ts";

const columns = `${asBytes(["grading", "device", "name", "wants", "state", "person", "roles", "address"])},
  CAST(token_hash AS BLOB) AS tokenHash, since_ms AS sinceMs`;
const gradingColumns = `${asBytes(["grading", "code"])}, CAST(made_by AS BLOB) AS madeBy`;
type Raw = Omit<DeviceRow, "roles"> & { roles: string };
const rowAs = (raw: unknown, books: StoredBooks): DeviceRow | undefined => {
  if (!raw) return undefined;
  const { grading, device, name, wants, state, person, roles, tokenHash, address, sinceMs } =
    asText<Raw>(raw);
  const read = rolesIn(roles, books);
  return { grading, device, name, wants, state, person, roles: read, tokenHash, address, sinceMs };
};
/** The driver puts something of its own into a row; nobody else should see it. */
const asGrading = (raw: unknown): GradingRow | undefined => {
  if (!raw) return undefined;
  const { grading, code, madeBy } = asText<GradingRow>(raw);
  return { grading, code, madeBy };
};
const KEEP_DEVICE = `INSERT INTO devices (grading, device, name, wants, state, person, roles, token_hash, address, since_ms)
  VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
  ON CONFLICT (grading, device) DO UPDATE SET name = excluded.name, wants = excluded.wants, state = excluded.state,
    person = excluded.person, roles = excluded.roles, token_hash = excluded.token_hash,
    address = excluded.address, since_ms = excluded.since_ms`;

/** The door of a hub with one SQLite file. Answers at once, but where another program writes in it. */
export function sqliteDoorTables(
  database: HubDatabase,
  path: string,
  books: StoredBooks,
  sweeper = new SqliteSweeper(database, path),
  free = whenFree(path),
): DoorTables {
  const asRow = (raw: unknown) => rowAs(raw, books);
  withStoreFaults(path, () => makeOwn(database, path, books, doorTables));
  const sql = {
    setting: database.prepare(`SELECT ${asBytes(["value"])} FROM settings WHERE name = ?`),
    settings: database.prepare(
      `SELECT ${asBytes(["name", "value"])} FROM settings
        WHERE substr(settings.name, 1, length(?1)) = ?1 ORDER BY settings.name`,
    ),
    keepSetting: database.prepare(
      "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
    ),
    settleSetting: database.prepare(
      "INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO NOTHING",
    ),
    takeSetting: database.prepare("DELETE FROM settings WHERE name = ? AND value = ?"),
    chief: database.prepare(
      `SELECT ${asBytes(["person", "device"])} FROM chiefs WHERE token_hash = ?`,
    ),
    keepChief: database.prepare(
      "INSERT INTO chiefs (token_hash, device, person, since_ms) VALUES (?, ?, ?, ?)",
    ),
    chiefs: database.prepare(
      "SELECT token_hash AS tokenHash, device, person, since_ms AS sinceMs FROM chiefs ORDER BY since_ms, token_hash",
    ),
    endChief: database.prepare("DELETE FROM chiefs WHERE token_hash = ?"),
    endDevices: database.prepare("UPDATE devices SET state = 'revoked' WHERE token_hash = ?"),
    grading: database.prepare(`SELECT ${gradingColumns} FROM gradings WHERE gradings.grading = ?`),
    byCode: database.prepare(`SELECT ${gradingColumns} FROM gradings WHERE gradings.code = ?`),
    gradings: database.prepare(
      `SELECT ${gradingColumns} FROM gradings ORDER BY made_at_ms DESC, gradings.grading`,
    ),
    makeGrading: database.prepare(
      "INSERT INTO gradings (grading, code, made_by, made_at_ms) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
    ),
    changeCode: database.prepare("UPDATE OR IGNORE gradings SET code = ? WHERE grading = ?"),
    device: database.prepare(
      `SELECT ${columns} FROM devices WHERE devices.grading = ? AND devices.device = ?`,
    ),
    byToken: database.prepare(
      `SELECT ${columns} FROM devices WHERE token_hash = ? ORDER BY since_ms DESC`,
    ),
    devices: database.prepare(
      `SELECT ${columns} FROM devices WHERE devices.grading = ? ORDER BY since_ms, devices.device`,
    ),
    keepDevice: database.prepare(KEEP_DEVICE),
    knock: database.prepare(
      `${KEEP_DEVICE} WHERE devices.person IS NULL AND devices.state <> 'admitted' AND (devices.state <> 'waiting' OR devices.address = excluded.address)`,
    ),
    decide: database.prepare(
      "UPDATE devices SET state = ?, person = coalesce(?, person), roles = coalesce(?, roles) WHERE grading = ? AND device = ?",
    ),
    forgetNames: database.prepare(
      "UPDATE devices SET name = '' WHERE grading = ?1 AND (?2 IS NULL OR person = ?2) AND name <> ''",
    ),
    forgetDevice: database.prepare(
      "UPDATE devices SET name = '' WHERE grading = ? AND device = ? AND name <> ''",
    ),
  };
  const forgotten = (forget: () => number): void => {
    const changes = inTransaction(database, () => {
      const changed = forget();
      if (changed > 0) sweeper.note();
      return changed;
    });
    if (changes > 0) sweeper.soon();
  };
  const guarded = <T>(work: () => T) => free(() => withStoreFaults(path, work));
  // In a transaction that begins with the write lock: a statement that another program keeps from writing stays open, and keeps the lock from everybody after.
  const written = <T>(work: () => T) => guarded(() => inTransaction(database, work));
  const setting = (name: string) => {
    const found = sql.setting.get(name);
    return found ? asText<{ value: string }>(found).value : undefined;
  };
  const byCode = (code: string) => asGrading(sql.byCode.get(code));
  const device = (grading: GradingId, id: DeviceId) => asRow(sql.device.get(grading, id));

  return {
    setting: (name) => guarded(() => setting(name)),
    settings: (prefix) =>
      guarded(() =>
        sql.settings.all(prefix).map((row) => {
          const { name, value } = asText<{ name: string; value: string }>(row);
          return { name, value };
        }),
      ),
    keepSetting: (name, value) => written(() => void sql.keepSetting.run(name, value)),
    settleSetting: (name, value) =>
      written(() => {
        sql.settleSetting.run(name, value);
        return setting(name) ?? value;
      }),
    takeSetting: (name, value) => written(() => sql.takeSetting.run(name, value).changes > 0),
    chief: (tokenHash) =>
      guarded(() => {
        const found = sql.chief.get(tokenHash);
        if (!found) return undefined;
        const { person, device } = asText<{ person: PersonId; device: DeviceId }>(found);
        return { person, device };
      }),
    keepChief: (tokenHash, id, person, nowMs) =>
      written(() => void sql.keepChief.run(tokenHash, id, person, nowMs)),
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
      written(() => {
        sql.endChief.run(tokenHash);
        sql.endDevices.run(tokenHash);
        return sql.byToken.all(tokenHash).flatMap((raw) => asRow(raw) ?? []);
      }),
    grading: (grading) => guarded(() => asGrading(sql.grading.get(grading))),
    gradingByCode: (code) => guarded(() => byCode(code)),
    gradings: () => guarded(() => sql.gradings.all().flatMap((raw) => asGrading(raw) ?? [])),
    makeGrading: ({ grading, code, madeBy }, nowMs) =>
      written(
        () =>
          sql.makeGrading.run(grading, code, madeBy, nowMs).changes > 0 ||
          sql.grading.get(grading) !== undefined,
      ),
    changeCode: (grading, code) =>
      written(() => {
        sql.changeCode.run(code, grading);
        return byCode(code)?.grading === grading;
      }),
    device: (grading, id) => guarded(() => device(grading, id)),
    devicesByToken: (tokenHash) =>
      guarded(() =>
        sql.byToken
          .all(tokenHash)
          .flatMap((raw) => asRow(raw) ?? [])
          // By way of an index, which may lie: the row itself has the last word.
          .filter((row) => row.tokenHash === tokenHash),
      ),
    devices: (grading) =>
      guarded(() => sql.devices.all(grading).flatMap((raw) => asRow(raw) ?? [])),
    keepDevice: (row) => written(() => void sql.keepDevice.run(...deviceValues(row))),
    knock: (row) => written(() => sql.knock.run(...deviceValues(row)).changes > 0),
    decide: (grading, id, { state, person, roles }) =>
      written(() => {
        const written = roles ? JSON.stringify(roles) : null;
        sql.decide.run(state, person ?? null, written, grading, id);
        return device(grading, id);
      }),
    forgetNames: (grading, person) =>
      guarded(() => forgotten(() => sql.forgetNames.run(grading, person ?? null).changes)),
    forgetDevices: (grading, ids) =>
      guarded(() =>
        forgotten(() =>
          ids.reduce((sum, id) => sum + sql.forgetDevice.run(grading, id).changes, 0),
        ),
      ),
  };
}
