import type pg from "pg";
import { FaultError } from "../../book/faults.ts";
import {
  columnsOf,
  type StoreRow,
  type StoreRows,
  type StoreTable,
  storeTables,
  tableNames,
} from "../../ports/store-rows.ts";
import type { PostgresDatabase } from "./postgres-database.ts";
import { aboutIn } from "./read-side.ts";

const AT_ONCE = 500;
/** Of columns that are no text. */
const TYPES: Record<string, string> = {
  seq: "integer",
  n: "bigint",
  since_ms: "bigint",
  made_at_ms: "bigint",
};

/** Everything in the database as it is at this moment. Hubs go on writing; what they write since is not seen. */
export async function postgresRows(database: PostgresDatabase): Promise<StoreRows> {
  const client = await database.guarded(() => database.pool.connect());
  const run = <Row extends StoreRow>(text: string, given: string[] = []): Promise<Row[]> =>
    database.guarded(async () => (await client.query<Row>(text, given)).rows);
  try {
    await run("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
    // Whoever reads may have to wait for a slow disk to write.
    await run("SET LOCAL idle_in_transaction_session_timeout = '2min'");
    // The first statement fixes the moment.
    await run("SELECT 1");
  } catch (error) {
    client.release(true);
    throw error;
  }
  return {
    async *of(table, grading) {
      const columns = columnsOf(table).map((name) =>
        // The driver would hand it over as text; all of them are far below 2^53.
        TYPES[name] === "bigint" ? `${name}::float8 AS ${name}` : name,
      );
      const order = storeTables[table].key.map((name) => `${table}.${name}`);
      const where = grading ? "WHERE grading = $1" : "";
      await run(
        `DECLARE lines NO SCROLL CURSOR FOR SELECT ${columns} FROM ${table} ${where} ORDER BY ${order}`,
        grading ? [grading] : [],
      );
      for (;;) {
        const some = await run(`FETCH ${AT_ONCE} FROM lines`);
        if (some.length > 0) yield some;
        if (some.length < AT_ONCE) break;
      }
      await run("CLOSE lines");
    },
    async close() {
      // Nothing was written: a connection that cannot even end its transaction is thrown away.
      const broken = await client.query("ROLLBACK").then(
        () => undefined,
        (error: Error) => error,
      );
      client.release(broken);
    },
  };
}

/**
 * Puts everything into a database that holds nothing yet, whole or not at all. A hub that is started meanwhile waits.
 * @returns false where it holds something, if only a hub's keys; nothing was changed then.
 * @throws FaultError COPY_UNSOUND where the rows do not fit
 */
export function fillPostgres(database: PostgresDatabase, rows: StoreRows): Promise<boolean> {
  return database.inTransaction(async (client) => {
    // A hub's first act is to keep its keys there.
    await client.query("LOCK TABLE settings IN EXCLUSIVE MODE");
    const holds = tableNames.map((table) => `EXISTS (SELECT FROM ${table})`).join(" OR ");
    const { rows: found } = await client.query<{ holds: boolean }>(`SELECT ${holds} AS holds`);
    if (found[0]?.holds !== false) return false;
    for (const table of tableNames)
      for await (const some of rows.of(table))
        await insert(client, table, some).catch((cause: Error & { code?: string }) => {
          // Values that fit no column, or a key that is there twice.
          if (!/^2[23]/.test(cause.code ?? "")) throw cause;
          throw new FaultError({ code: "COPY_UNSOUND" }, { cause });
        });
    return true;
  });
}

/** This database keeps no NUL in a text; where one is, it was damaged already. */
const storable = (value: StoreRow[string] | undefined) =>
  typeof value === "string" ? value.replaceAll("\0", "\u{fffd}") : value;

async function insert(
  client: pg.PoolClient,
  table: StoreTable,
  rows: readonly StoreRow[],
): Promise<void> {
  const columns = columnsOf(table);
  const given = columns.map((name) => rows.map((row) => storable(row[name])));
  if (table === "sides") {
    columns.push("about");
    // One that cannot be read comes along, and is shown to nobody.
    given.push(rows.map(({ record }) => aboutIn(String(record)) ?? ""));
  }
  const types = columns.map((name, at) => `$${at + 1}::${TYPES[name] ?? "text"}[]`);
  await client.query(
    `INSERT INTO ${table} (${columns}) SELECT * FROM unnest(${types}) AS line (${columns})`,
    given,
  );
}
