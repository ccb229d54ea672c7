import Database from "libsql";
import { FaultError } from "../../book/faults.ts";
import type { HubDatabase } from "./open-database.ts";
import { doorTables, scorebookTables } from "./sqlite-tables.ts";
import type { StoredBooks } from "./stored-books.ts";

interface Made {
  name: string;
  sql: string;
}
const made = "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name";
const ours = new Map<string, ReadonlyMap<string, string>>();

/** What SQLite itself counts when a viewer of databases asks it to (ANALYZE): nobody else can make a table of such a name. */
const COUNTED = /^sqlite_stat\d$/;

/** What a database holds that this program made. */
function ownSchema(books: StoredBooks): ReadonlyMap<string, string> {
  const tables = scorebookTables(books) + doorTables;
  const before = ours.get(tables);
  if (before) return before;
  const database = new Database(":memory:");
  database.exec(tables);
  const rows = database.prepare(made).all() as Made[];
  database.close();
  const own = new Map(rows.map(({ name, sql }) => [name, sql]));
  ours.set(tables, own);
  return own;
}

/**
 * Makes the tables where they are not there yet, and looks whether all that is there was made by this program: a letter of a table's name
 * turned over on the disk would make an empty one in its place, and a trigger of somebody else's could do anything to what is written. What SQLite counted goes.
 * @throws FaultError STORE_DAMAGED, with the file's path
 */
export function makeOwn(
  database: HubDatabase,
  path: string,
  books: StoredBooks,
  statements: string,
): void {
  const its = ownSchema(books);
  for (const { name, sql } of database.prepare(made).all() as Made[]) {
    if (its.get(name) === sql) continue;
    if (COUNTED.test(name) && sql.startsWith(`CREATE TABLE ${name}(`)) {
      database.exec(`DROP TABLE ${name}`);
      continue;
    }
    const detail = `“${name}” in it is not as this program makes it`;
    throw new FaultError({ code: "STORE_DAMAGED", with: { file: path, detail } });
  }
  database.exec(statements);
}
