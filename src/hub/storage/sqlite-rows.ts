import { columnsOf, type StoreRow, type StoreRows, storeTables } from "../../ports/store-rows.ts";
import { openToRead, withStoreFaults } from "./open-database.ts";

const AT_ONCE = 500;

/**
 * Everything in a hub's database file, or in a copy of one; also beside a running hub.
 * @throws FaultError STORE_DAMAGED, STORE_LOST, with the file's path
 */
export function sqliteRows(path: string): StoreRows {
  const database = openToRead(path);
  try {
    withStoreFaults(path, () => database.exec("BEGIN"));
  } catch (error) {
    database.close();
    throw error;
  }
  return {
    async *of(table, grading) {
      const known = database.prepare(
        "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?",
      );
      // A store that no hub ever opened has no door.
      if (!withStoreFaults(path, () => known.get(table))) return;
      const rows = database
        .prepare(
          `SELECT ${columnsOf(table)} FROM ${table} ${grading ? "WHERE grading = ?" : ""} ORDER BY ${storeTables[table].key}`,
        )
        .iterate(...(grading ? [grading] : [])) as Iterator<StoreRow>;
      for (;;) {
        const some: StoreRow[] = [];
        while (some.length < AT_ONCE) {
          const { done, value } = withStoreFaults(path, () => rows.next());
          if (done) break;
          some.push(value);
        }
        if (some.length > 0) yield some;
        if (some.length < AT_ONCE) return;
      }
    },
    async close() {
      // A reading that is left open keeps the log from being emptied, and what is erased in it.
      if (database.inTransaction) database.exec("ROLLBACK");
      database.close();
    },
  };
}
