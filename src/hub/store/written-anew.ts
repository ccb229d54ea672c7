import type { HubDatabase } from "./open-database.ts";
import { inTransaction } from "./transaction.ts";

/** Tables in which names and texts stand. */
type Named = "sides" | "devices";

/** In files of before, bytes of what was erased may still lie between the rows. */
const CLEAN_SINCE = 1;

/**
 * Writes a table anew, after rows of it were erased. `secure_delete` overwrites a row that goes and a page that is given back, but where rows were moved
 * between pages before, what they held still lies in the room that no row has. Emptied whole, a table gives all its pages back.
 */
export function writeAnew(database: HubDatabase, table: Named): void {
  database.exec(`CREATE TEMP TABLE kept AS SELECT * FROM main.${table}`);
  database.exec(`DELETE FROM main.${table}`);
  database.exec(`INSERT INTO main.${table} SELECT * FROM temp.kept`);
  database.exec("DROP TABLE temp.kept");
}

/** The log still holds what was overwritten, until it is written back and emptied. */
export const emptyTheLog = (database: HubDatabase): void =>
  void database.pragma("wal_checkpoint(TRUNCATE)");

/** Once in the life of a file that an earlier version wrote. */
export function cleanOnce(database: HubDatabase, tables: readonly Named[]): void {
  const [{ user_version: version = 0 } = {}] = database.pragma("user_version") as {
    user_version: number;
  }[];
  if (version >= CLEAN_SINCE) return;
  inTransaction(database, () => {
    for (const table of tables) writeAnew(database, table);
    database.exec(`PRAGMA user_version = ${CLEAN_SINCE}`);
  });
  emptyTheLog(database);
}
