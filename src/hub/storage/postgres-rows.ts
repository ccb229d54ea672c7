import { columnsOf, type StoreRow, type StoreRows, storeTables } from "../../ports/store-rows.ts";
import type { PostgresDatabase } from "./postgres-database.ts";

const AT_ONCE = 500;
/** Columns that the driver would hand over as text: all of them far below 2^53. */
const BIG = new Set(["n", "since_ms", "made_at_ms"]);

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
        BIG.has(name) ? `${name}::float8 AS ${name}` : name,
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
