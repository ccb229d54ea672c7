import pg from "pg";
import { type Fault, FaultError } from "../../book/faults.ts";
import { shownAddress } from "./postgres-address.ts";
import { PostgresSweeper } from "./postgres-sweeper.ts";

/** Connections of one hub for reading and writing; one more listens. */
const MOST_CONNECTIONS = 10;
const CONNECT_WITHIN_MS = 5_000;
/** A database that does not answer for so long is away. What was asked may still have been done: tablets send it again. */
const ANSWER_WITHIN_MS = 15_000;
/** Any number that nobody else locks: makes one process at a time create the tables. */
const TABLES_LOCK = 7_205_119_412;

/** The one database of one or several hubs. */
export interface PostgresDatabase {
  readonly pool: pg.Pool;
  /** `postgres://host:port/database`: never a user, never a password. */
  readonly name: string;
  /** For a connection of one's own. */
  readonly settings: pg.ClientConfig;
  /** Takes what was erased off the disk. */
  readonly sweeper: PostgresSweeper;
  /** Runs `work` and turns what the database throws into a coded fault; other errors pass. */
  guarded<T>(work: () => Promise<T>): Promise<T>;
  /** Runs `work` whole or not at all, on one connection. */
  inTransaction<T>(work: (client: pg.PoolClient) => Promise<T>): Promise<T>;
  close(): Promise<void>;
}

/**
 * Connects and makes the tables that are not there yet.
 * @param look  before anything is made
 * @throws FaultError STORE_UNREACHABLE, saying why in a word
 */
export async function openPostgres(
  url: string,
  tables: readonly string[],
  look: (database: PostgresDatabase) => Promise<void> = async () => undefined,
): Promise<PostgresDatabase> {
  const settings: pg.ClientConfig = {
    connectionString: url,
    connectionTimeoutMillis: CONNECT_WITHIN_MS,
    query_timeout: ANSWER_WITHIN_MS,
    keepAlive: true,
    // An answered commit is on the disk, whatever the server's habit; a hub that vanished holds no lock for long.
    // Whoever waited for a lock sees what was written meanwhile, whatever the database's habit.
    options:
      "-c synchronous_commit=on -c idle_in_transaction_session_timeout=10000 -c default_transaction_isolation=read\\ committed",
  };
  const pool = new pg.Pool({ ...settings, max: MOST_CONNECTIONS });
  // A connection that breaks while nobody uses it: the next query says so to whoever asks.
  pool.on("error", () => undefined);
  // One that breaks while it is lent out, between two statements of a transaction: the next statement says so too.
  pool.on("connect", (client) => client.on("error", () => undefined));
  const name = shownAddress(url);
  let isOpen = true;

  async function guarded<T>(work: () => Promise<T>): Promise<T> {
    if (!isOpen) throw new FaultError({ code: "STORE_CLOSED", with: { file: name } });
    try {
      return await work();
    } catch (error) {
      throw asFault(error, name) ?? error;
    }
  }
  const database: PostgresDatabase = {
    pool,
    name,
    settings,
    sweeper: new PostgresSweeper(settings),
    guarded,
    inTransaction: (work) =>
      guarded(async () => {
        const client = await pool.connect();
        let broken: Error | undefined;
        try {
          await client.query("BEGIN");
          const result = await work(client);
          await client.query("COMMIT");
          return result;
        } catch (error) {
          // A connection that cannot even roll back is thrown away, and the server rolls back by itself.
          await client.query("ROLLBACK").catch((cause: Error) => {
            broken = cause;
          });
          throw error;
        } finally {
          client.release(broken);
        }
      }),
    async close() {
      if (!isOpen) return;
      isOpen = false;
      await database.sweeper.close();
      await pool.end();
    },
  };
  try {
    await look(database);
    // A hub may run as somebody who has no right to make or change tables, once they are there.
    if (!(await areThere(database, tables)))
      await database.inTransaction(async (client) => {
        await client.query("SELECT pg_advisory_xact_lock($1)", [TABLES_LOCK]);
        for (const table of tables) await client.query(table);
      });
  } catch (error) {
    await database.close();
    throw error;
  }
  return database;
}

export const namesOf = (tables: readonly string[]): string[] =>
  tables.flatMap((table) => /^CREATE TABLE IF NOT EXISTS (\w+)/.exec(table)?.[1] ?? []);

/** Whether the database has all of these tables. */
export async function areThere(
  { guarded, pool }: PostgresDatabase,
  tables: readonly string[],
): Promise<boolean> {
  const names = namesOf(tables);
  const { rows } = await guarded(() =>
    pool.query<{ missing: number }>(
      "SELECT count(*)::int AS missing FROM unnest($1::text[]) AS name WHERE to_regclass(name) IS NULL",
      [names],
    ),
  );
  return rows[0]?.missing === 0;
}

/** Undefined for what is no matter of the database, or a mistake in a statement: that is a bug, and should be seen whole. */
function asFault(error: unknown, store: string): FaultError | undefined {
  if (error instanceof FaultError || !(error instanceof Error)) return undefined;
  const fault = faultOf(error, store);
  // The driver's errors may hold what it connected with; only the sentence goes on.
  return fault && new FaultError(fault, { cause: new Error(error.message) });
}

function faultOf(error: Error, store: string): Fault | undefined {
  const { code = "" } = error as { code?: string };
  if (code === "53100") return { code: "STORE_FULL", with: { file: store } };
  // What is there is damaged, or is no table as this program makes it.
  if (/^(XX001|XX002|0A000|42P01|42703|42809)$/.test(code))
    return { code: "STORE_DAMAGED", with: { file: store, detail: error.message } };
  const why = reason(code, error.message);
  return why === undefined ? undefined : { code: "STORE_UNREACHABLE", with: { store, why } };
}

/** @see PostgreSQL manual, appendix A, error codes */
function reason(code: string, message: string): string | undefined {
  if (/^(ENOTFOUND|EAI_)/.test(code)) return "host";
  if (code === "ECONNREFUSED") return "refused";
  if (/^28/.test(code) || /password must be a string/.test(message)) return "password";
  if (code === "3D000") return "database";
  if (code === "42501") return "rights";
  if (code === "53300") return "busy";
  if (/^(08|57|55P03|25P0|25006)/.test(code) || /^E[A-Z]+$/.test(code)) return "gone";
  if (/terminated|timeout|Connection|not queryable|ended/i.test(message)) return "gone";
  return undefined;
}
