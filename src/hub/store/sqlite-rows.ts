import { FaultError } from "../../book/faults.ts";
import {
  columnsOf,
  type StoreRow,
  type StoreRows,
  type StoreTable,
  storeTables,
  tableNames,
} from "../../ports/store-rows.ts";
import { openToRead, settleMark } from "./open-database.ts";
import { asBytes, asText } from "./sqlite-text.ts";
import { withStoreFaults } from "./store-faults.ts";

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
        // Not a view, nor a table that is a program: a copy may come from anywhere.
        "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ? AND sql LIKE 'CREATE TABLE %'",
      );
      const isThere = (name: StoreTable) =>
        withStoreFaults(path, () => known.get(name)) !== undefined;
      if (!isThere(table)) {
        // A store that no hub ever opened has no door, nor any part of one.
        if (!isOfDoor(table) || tableNames.some((one) => isOfDoor(one) && isThere(one)))
          throw notOurs(path, table);
        return;
      }
      const rows = withStoreFaults(path, () =>
        database
          .prepare(
            `SELECT ${selected(table)} FROM ${table} ${grading ? "WHERE grading = ?" : ""} ORDER BY ${storeTables[table].key.map((name) => `${table}.${name}`)}`,
          )
          .iterate(...(grading ? [grading] : [])),
      ) as Iterator<StoreRow>;
      for (;;) {
        const some: StoreRow[] = [];
        while (some.length < AT_ONCE) {
          const { done, value } = withStoreFaults(path, () => rows.next());
          if (done) break;
          some.push(asText<StoreRow>(value));
        }
        if (some.length > 0) yield some;
        if (some.length < AT_ONCE) return;
      }
    },
    async close() {
      // A reading that is left open keeps the log from being emptied, and what is erased in it.
      if (database.inTransaction) database.exec("ROLLBACK");
      database.close();
      settleMark(path);
    },
  };
}

const isOfDoor = (table: StoreTable): boolean => table !== "entries" && table !== "sides";
const notOurs = (file: string, table: string) =>
  new FaultError({
    code: "STORE_DAMAGED",
    with: { file, detail: `“${table}” in it is not as this program makes it` },
  });

/** Of columns that are no text. */
const NUMBERS: ReadonlySet<string> = new Set(["seq", "n", "since_ms", "made_at_ms"]);

const selected = (table: StoreTable): string =>
  columnsOf(table)
    .map((name) => (NUMBERS.has(name) ? name : asBytes([name])))
    .join(", ");
