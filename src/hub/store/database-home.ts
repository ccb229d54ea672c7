import type { Fault } from "../../book/faults.ts";
import type { StoreRows } from "../../ports/store-rows.ts";
import { backUpRows } from "./backup.ts";
import { makeFolder } from "./make-folder.ts";
import { shownAddress, withoutPassword } from "./postgres-address.ts";
import { areThere, namesOf, openPostgres, type PostgresDatabase } from "./postgres-database.ts";
import { doorTables, postgresDoorTables } from "./postgres-door-tables.ts";
import { listenToPostgres } from "./postgres-news.ts";
import { mustBeOwn } from "./postgres-own-schema.ts";
import { fillPostgres, postgresRows } from "./postgres-rows.ts";
import { postgresScorebook, scorebookTables } from "./postgres-scorebook.ts";
import { forbidden } from "./postgres-sweeper.ts";
import { sqliteRows } from "./sqlite-rows.ts";
import type { FailedStore, HubStore, OpenSettings, OpenStore, StoreHome } from "./store-home.ts";
import type { StoredBooks } from "./stored-books.ts";

const tablesOf = (books: StoredBooks): string[] => [...scorebookTables(books), ...doorTables];
const openOwnPostgres = (
  address: string,
  books: StoredBooks,
  { makes = true } = {},
): Promise<PostgresDatabase> => {
  const tables = tablesOf(books);
  return openPostgres(address, makes ? tables : [], (database) =>
    mustBeOwn(database, namesOf(tables)),
  );
};

/** A database that several hubs share; what is noted beside it lies in the folder. */
export function databaseHome(dataFolder: string, address: string, books: StoredBooks): StoreHome {
  const { store, password } = withoutPassword(address);
  const forCommand: StoreHome["forCommand"] = async ({ makes = false }) => {
    const database = await openOwnPostgres(address, books, { makes });
    try {
      if (makes || (await areThere(database, tablesOf(books)))) return openShared(database, books);
    } catch (error) {
      await database.close();
      throw error;
    }
    await database.close();
    return undefined;
  };
  return {
    dataFolder,
    isShared: true,
    shown: shownAddress(address),
    forHub: (settings) => openForHub(dataFolder, address, books, settings),
    forCommand,
    hold: () => () => undefined,
    isTaken: () => false,
    async copyTo(file) {
      const opened = await forCommand({});
      if (!opened) return false;
      try {
        const rows = await opened.rows();
        await backUpRows(rows, file, books).finally(() => rows.close());
        return true;
      } finally {
        await opened.close();
      }
    },
    async takeCopy(copy) {
      const rows = sqliteRows(copy);
      try {
        return (await fillShared(address, books, rows)) ? { aside: null } : "taken";
      } finally {
        await rows.close();
      }
    },
    options: ["--store", store],
    env: password === undefined ? {} : { PGPASSWORD: password },
    optionsToPutBack(short) {
      const other = new URL(store);
      other.pathname = "/NEW";
      return ["--data", short(dataFolder), "--store", `${other}`];
    },
  };
}

async function openForHub(
  dataFolder: string,
  address: string,
  books: StoredBooks,
  { sweepEveryMs, onWaiting }: OpenSettings = {},
): Promise<HubStore> {
  makeFolder(dataFolder);
  const database = await openOwnPostgres(address, books);
  let fail: (failed: FailedStore) => void = () => undefined;
  const failed = new Promise<FailedStore>((resolve) => {
    fail = resolve;
  });
  const shared = openShared(database, books, (fault) => fail({ fault, saved: undefined }));
  // A hub that was killed between the erasing and the sweeping left word, before this one started or while it runs.
  database.sweeper.watch(sweepEveryMs, () => onWaiting?.(forbidden(database.name)));
  try {
    const news = await listenToPostgres(database);
    return {
      ...shared,
      news,
      leftOpen: undefined,
      look: () => undefined,
      mustBeThere: () => undefined,
      failed,
      async close() {
        await news.close();
        await shared.close();
      },
    };
  } catch (error) {
    await shared.close();
    throw error;
  }
}

/**
 * Puts everything into the database there, which must hold nothing yet; whole or not at all.
 * @returns false where it holds something, if only a hub's keys.
 * @throws FaultError STORE_UNREACHABLE
 */
export async function fillShared(
  address: string,
  books: StoredBooks,
  rows: StoreRows,
): Promise<boolean> {
  const database = await openOwnPostgres(address, books);
  try {
    return await fillPostgres(database, rows);
  } finally {
    await database.close();
  }
}

const openShared = (
  database: PostgresDatabase,
  books: StoredBooks,
  onFailed?: (fault: Fault) => void,
): OpenStore => ({
  name: "postgres",
  isShared: true,
  place: database.name,
  store: postgresScorebook(database, books, onFailed),
  door: postgresDoorTables(database, books),
  rows: () => postgresRows(database),
  sweep: () => database.sweeper.now(),
  close: () => database.close(),
});
