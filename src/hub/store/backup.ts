import {
  closeSync,
  existsSync,
  fchmodSync,
  fsyncSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
} from "node:fs";
import { dirname } from "node:path";
import Database from "libsql";
import { FaultError } from "../../book/faults.ts";
import { columnsOf, type StoreRows, tableNames } from "../../ports/store-rows.ts";
import { sayItIsACopy, settleCopy } from "./is-copy.ts";
import { type HubDatabase, openDatabase, settleMark, willBeWrittenBack } from "./open-database.ts";
import { finishSettingAside } from "./set-aside.ts";
import { sqliteDoorTables } from "./sqlite-door-tables.ts";
import { sqliteRows } from "./sqlite-rows.ts";
import { sqliteScorebook } from "./sqlite-scorebook.ts";
import { withStoreFaults } from "./store-faults.ts";
import type { StoredBooks } from "./stored-books.ts";

/**
 * Copies a hub's whole database, as it is at this moment, into a new file; the hub may be at work meanwhile.
 * The copy is on the disk when this returns, or not there at all.
 * @throws FaultError STORE_DAMAGED, STORE_LOST or STORE_FULL, with the path
 */
export function backUp(path: string, copy: string): void {
  const part = `${copy}.part`;
  withStoreFaults(copy, () => rmSync(part, { force: true }));
  willBeWrittenBack(path);
  const database = openDatabase(path);
  try {
    withStoreFaults(copy, () => database.prepare("VACUUM INTO ?").run(part));
    withStoreFaults(copy, () => settleCopy(part));
    settle(part, copy);
  } catch (error) {
    dropPart(part);
    throw error;
  } finally {
    database.close();
    settleMark(path);
  }
}

/** A copy that came to nothing leaves the room that it took. */
function dropPart(part: string): void {
  for (const rest of ["", "-journal"]) rmSync(`${part}${rest}`, { force: true });
}

/**
 * Writes everything that a store of another kind holds into a new file, as a hub's own database is; row by row, so that memory stays small.
 * The copy is on the disk when this resolves, or not there at all.
 * @throws FaultError STORE_LOST or STORE_FULL, with the path; and what reading throws.
 */
export async function backUpRows(rows: StoreRows, copy: string, books: StoredBooks): Promise<void> {
  const part = `${copy}.part`;
  withStoreFaults(copy, () => rmSync(part, { force: true }));
  try {
    const database = withStoreFaults(copy, () => new Database(part));
    try {
      // Nobody reads it before it is whole, and then it is brought to the disk at once.
      database.pragma("journal_mode = OFF");
      database.pragma("synchronous = OFF");
      sqliteScorebook(database, copy, books);
      sqliteDoorTables(database, copy, books);
      await fill(database, rows, copy);
      withStoreFaults(copy, () => sayItIsACopy(database));
    } finally {
      database.close();
    }
    settle(part, copy);
  } catch (error) {
    dropPart(part);
    throw error;
  }
}

async function fill(database: HubDatabase, rows: StoreRows, copy: string): Promise<void> {
  database.exec("BEGIN");
  for (const table of tableNames) {
    const columns = columnsOf(table);
    const places = columns.map(() => "?");
    const insert = database.prepare(`INSERT INTO ${table} (${columns}) VALUES (${places})`);
    for await (const some of rows.of(table))
      withStoreFaults(copy, () => {
        for (const row of some) insert.run(...columns.map((name) => row[name]));
      });
  }
  withStoreFaults(copy, () => database.exec("COMMIT"));
}

/**
 * Puts what a copy holds in the place of a database: the rows of our own tables, into a file made here, so that no trigger
 * and no view comes along that somebody put into the copy. The caller holds the folder.
 * @param makeRoom  puts away what lies there; called when everything is written down beside it, and not at all where that fails
 * @throws FaultError COPY_UNSOUND where the rows do not fit, STORE_LOST or STORE_FULL; what was there is as it was then
 */
export async function restore(
  copy: string,
  path: string,
  books: StoredBooks,
  makeRoom: () => void = () => undefined,
): Promise<void> {
  const brought = broughtFor(path);
  const rows = sqliteRows(copy);
  try {
    await backUpRows(rows, brought, books);
  } catch (error) {
    const { code = "" } = error as { code?: string };
    if (!/^SQLITE_(CONSTRAINT|MISMATCH|ERROR)/.test(code)) throw error;
    throw new FaultError({ code: "COPY_UNSOUND" }, { cause: error });
  } finally {
    await rows.close();
  }
  makeRoom();
  renameSync(brought, path);
  syncFolder(dirname(path));
}

const broughtFor = (path: string): string => `${path}.brought`;

/** Where a restore was killed after all was written down and the old store was put away, the new one takes its place. */
export function finishRestored(path: string): void {
  if (existsSync(path) || !statSync(broughtFor(path), { throwIfNoEntry: false })?.isFile()) return;
  finishSettingAside(path);
  renameSync(broughtFor(path), path);
}
/** @throws FaultError STORE_LOST where it is none, or may not be removed */
export const removeFile = (path: string): void =>
  withStoreFaults(path, () => rmSync(path, { force: true }));

/** What a restore left that was killed half way: names are in it. */
export function dropHalfRestored(path: string): void {
  for (const rest of ["", ".part", ".part-journal"]) removeFile(`${broughtFor(path)}${rest}`);
}

function settle(part: string, whole: string): void {
  const file = openSync(part, "r+");
  // Names of children are in it.
  fchmodSync(file, 0o600);
  fsyncSync(file);
  closeSync(file);
  renameSync(part, whole);
  syncFolder(dirname(whole));
}

/** New names too. Windows opens no folder, and keeps names by itself. */
function syncFolder(path: string): void {
  if (process.platform === "win32") return;
  const folder = openSync(path, "r");
  fsyncSync(folder);
  closeSync(folder);
}
