import type { DeviceId, PersonId } from "../../book/identity.ts";
import type { ChiefRow, DeviceRow, DoorTables, GradingRow } from "../../ports/door-tables.ts";
import { deviceValues, rolesIn } from "./device-values.ts";
import type { PostgresDatabase } from "./postgres-database.ts";
import { unsweptTable } from "./postgres-sweeper.ts";
import type { StoredBooks } from "./stored-books.ts";

export const doorTables = [
  `CREATE TABLE IF NOT EXISTS settings (name text COLLATE "C" PRIMARY KEY, value text NOT NULL)`,
  `CREATE TABLE IF NOT EXISTS chiefs (
    token_hash text COLLATE "C" PRIMARY KEY, device text NOT NULL, person text NOT NULL, since_ms bigint NOT NULL
  )`,
  `CREATE TABLE IF NOT EXISTS gradings (
    grading text COLLATE "C" PRIMARY KEY, code text COLLATE "C" NOT NULL UNIQUE, made_by text NOT NULL, made_at_ms bigint NOT NULL
  )`,
  `CREATE TABLE IF NOT EXISTS devices (
    grading text COLLATE "C" NOT NULL, device text COLLATE "C" NOT NULL, name text NOT NULL, wants text NOT NULL, state text NOT NULL,
    person text, roles text NOT NULL, token_hash text COLLATE "C" NOT NULL, address text NOT NULL, since_ms bigint NOT NULL,
    PRIMARY KEY (grading, device)
  )`,
  "CREATE INDEX IF NOT EXISTS devices_by_token ON devices (token_hash)",
  // What is known of a column's usual values is kept beside the table, and would keep names.
  "ALTER TABLE devices ALTER COLUMN name SET STATISTICS 0",
  unsweptTable,
];

const UNIQUE_VIOLATION = "23505";
const columns =
  "grading, device, name, wants, state, person, roles, token_hash, address, since_ms::float8 AS since_ms";
const KEEP_DEVICE = `INSERT INTO devices (grading, device, name, wants, state, person, roles, token_hash, address, since_ms)
  VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
  ON CONFLICT (grading, device) DO UPDATE SET name = excluded.name, wants = excluded.wants, state = excluded.state,
    person = excluded.person, roles = excluded.roles, token_hash = excluded.token_hash,
    address = excluded.address, since_ms = excluded.since_ms`;

interface Raw extends Omit<DeviceRow, "roles" | "tokenHash" | "sinceMs"> {
  roles: string;
  token_hash: string;
  since_ms: number;
}
const rowAs = (
  { roles, token_hash: tokenHash, since_ms: sinceMs, ...row }: Raw,
  books: StoredBooks,
): DeviceRow => ({
  ...row,
  roles: rolesIn(roles, books),
  tokenHash,
  sinceMs,
});

/** The door of several hubs with one PostgreSQL database: what one lets in or sends out is so at all of them at once. */
export function postgresDoorTables(database: PostgresDatabase, books: StoredBooks): DoorTables {
  const asRow = (raw: Raw) => rowAs(raw, books);
  const rows = <Row extends object>(text: string, given: unknown[] = []): Promise<Row[]> =>
    database.guarded(async () => (await database.pool.query<Row>(text, given)).rows);
  const changes = (text: string, given: unknown[]): Promise<number> =>
    database.guarded(async () => (await database.pool.query(text, given)).rowCount ?? 0);
  /** False where the only thing in the way is that somebody else has it. */
  const unlessTaken = (work: Promise<unknown>): Promise<boolean> =>
    work.then(
      () => true,
      (error: { code?: string }) => {
        if (error.code !== UNIQUE_VIOLATION) throw error;
        return false;
      },
    );
  const gradings = (where: string, given: unknown[] = []) =>
    rows<GradingRow>(
      `SELECT grading, code, made_by AS "madeBy" FROM gradings ${where} ORDER BY made_at_ms DESC, grading`,
      given,
    );
  const devices = async (where: string, given: unknown[]) =>
    (await rows<Raw>(`SELECT ${columns} FROM devices ${where}`, given)).map(asRow);

  /** Devices lose their names; nothing is swept where they had none. */
  const forget = async (which: string, given: (string | string[])[]): Promise<void> => {
    const noted = await changes(
      `WITH named AS (UPDATE devices SET name = '' WHERE grading = $1 ${which} AND name <> '' RETURNING 1)
        INSERT INTO unswept (name) SELECT 'devices' FROM named LIMIT 1`,
      given,
    );
    if (noted > 0) database.sweeper.soon();
  };

  return {
    async setting(name) {
      const [found] = await rows<{ value: string }>("SELECT value FROM settings WHERE name = $1", [
        name,
      ]);
      return found?.value;
    },
    settings: (prefix) =>
      rows("SELECT name, value FROM settings WHERE starts_with(name, $1) ORDER BY name", [prefix]),
    async keepSetting(name, value) {
      await changes(
        "INSERT INTO settings (name, value) VALUES ($1, $2) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        [name, value],
      );
    },
    async settleSetting(name, value) {
      await changes(
        "INSERT INTO settings (name, value) VALUES ($1, $2) ON CONFLICT (name) DO NOTHING",
        [name, value],
      );
      const [found] = await rows<{ value: string }>("SELECT value FROM settings WHERE name = $1", [
        name,
      ]);
      return found?.value ?? value;
    },
    takeSetting: async (name, value) =>
      (await changes("DELETE FROM settings WHERE name = $1 AND value = $2", [name, value])) > 0,
    async chief(tokenHash) {
      const [found] = await rows<{ person: PersonId; device: DeviceId }>(
        "SELECT person, device FROM chiefs WHERE token_hash = $1",
        [tokenHash],
      );
      return found;
    },
    async keepChief(tokenHash, device, person, nowMs) {
      await changes(
        "INSERT INTO chiefs (token_hash, device, person, since_ms) VALUES ($1, $2, $3, $4)",
        [tokenHash, device, person, nowMs],
      );
    },
    chiefs: () =>
      rows<ChiefRow>(
        `SELECT token_hash AS "tokenHash", device, person, since_ms::float8 AS "sinceMs" FROM chiefs
          ORDER BY chiefs.since_ms, token_hash`,
      ),
    async endToken(tokenHash) {
      const ended = await rows<Raw>(
        `WITH gone AS (DELETE FROM chiefs WHERE token_hash = $1)
          UPDATE devices SET state = 'revoked' WHERE token_hash = $1 RETURNING ${columns}`,
        [tokenHash],
      );
      return ended.map(asRow);
    },
    grading: async (grading) => (await gradings("WHERE grading = $1", [grading]))[0],
    gradingByCode: async (code) => (await gradings("WHERE code = $1", [code]))[0],
    gradings: () => gradings(""),
    makeGrading: ({ grading, code, madeBy }, nowMs) =>
      unlessTaken(
        changes(
          `INSERT INTO gradings (grading, code, made_by, made_at_ms) VALUES ($1, $2, $3, $4)
            ON CONFLICT (grading) DO NOTHING`,
          [grading, code, madeBy, nowMs],
        ),
      ),
    changeCode: (grading, code) =>
      unlessTaken(changes("UPDATE gradings SET code = $2 WHERE grading = $1", [grading, code])),
    device: async (grading, device) =>
      (await devices("WHERE grading = $1 AND device = $2", [grading, device]))[0],
    devicesByToken: (tokenHash) =>
      devices("WHERE token_hash = $1 ORDER BY devices.since_ms DESC", [tokenHash]),
    devices: (grading) =>
      devices("WHERE grading = $1 ORDER BY devices.since_ms, device", [grading]),
    async keepDevice(row) {
      if (row.name === "") await forget("AND device = $2", [row.grading, row.device]);
      await changes(KEEP_DEVICE, deviceValues(row));
    },
    knock: async (row) =>
      (await changes(
        `${KEEP_DEVICE} WHERE devices.person IS NULL AND devices.state <> 'admitted' AND (devices.state <> 'waiting' OR devices.address = excluded.address)`,
        deviceValues(row),
      )) > 0,
    async decide(grading, device, { state, person, roles }) {
      const [row] = await rows<Raw>(
        `UPDATE devices SET state = $3, person = coalesce($4, person), roles = coalesce($5, roles)
          WHERE grading = $1 AND device = $2 RETURNING ${columns}`,
        [grading, device, state, person ?? null, roles ? JSON.stringify(roles) : null],
      );
      return row && asRow(row);
    },
    forgetNames: (grading, person) =>
      person === undefined ? forget("", [grading]) : forget("AND person = $2", [grading, person]),
    forgetDevices: (grading, devices) => forget("AND device = ANY($2)", [grading, [...devices]]),
  };
}
