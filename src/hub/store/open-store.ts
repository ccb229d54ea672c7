import { existsSync, mkdirSync, rmSync } from "node:fs";
import { dirname } from "node:path";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { nobodyElse, type StoreNews } from "../../ports/store-news.ts";
import type { StoreRows } from "../../ports/store-rows.ts";
import { finishRestored } from "./backup.ts";
import { holdFolder } from "./hold-folder.ts";
import { settleCopy } from "./is-copy.ts";
import { isLogDamaged } from "./log-damage.ts";
import {
  type HubDatabase,
  heldHere,
  mustBeItsLog,
  openDatabase,
  settleMark,
  willBeWrittenBack,
} from "./open-database.ts";
import {
  isWrittenBack,
  type LeftOpen,
  leftOpen,
  markKeptWhole,
  markOpen,
  markWhy,
  markWrittenBack,
  mustHaveItsLog,
  sizeOfLog,
  unmark,
} from "./open-mark.ts";
import { areThere, namesOf, openPostgres, type PostgresDatabase } from "./postgres-database.ts";
import { doorTables, postgresDoorTables } from "./postgres-door-tables.ts";
import { listenToPostgres } from "./postgres-news.ts";
import { mustBeOwn } from "./postgres-own-schema.ts";
import { fillPostgres, postgresRows } from "./postgres-rows.ts";
import { postgresScorebook, scorebookTables } from "./postgres-scorebook.ts";
import { forbidden } from "./postgres-sweeper.ts";
import { keepFolderPrivate, keepPrivate } from "./private-files.ts";
import { SameFile } from "./same-file.ts";
import { sqliteDoorTables } from "./sqlite-door-tables.ts";
import { sqliteRows } from "./sqlite-rows.ts";
import { sqliteScorebook } from "./sqlite-scorebook.ts";
import { SqliteSweeper } from "./sqlite-sweeper.ts";
import { mustNotBeGone } from "./stands-log.ts";
import { mustLeadSomewhere, storeFile, storePlaceIn } from "./store-file.ts";
import type { StoredBooks } from "./stored-books.ts";
import type { Swept } from "./swept.ts";
import { tryDatabase } from "./try-database.ts";
import { HELD_UP_MS, whenFree } from "./when-free.ts";

/** Everything a hub keeps. */
export interface OpenStore {
  /** For people, who see it in `/health`: nothing is decided by it. */
  name: "sqlite" | "postgres";
  /** Other hubs may be at work on it too: what is noted beside one is noted beside all. */
  isShared: boolean;
  /** The folder, or the database without user and password: may be shown to anybody. */
  place: string;
  store: ScorebookStore;
  door: DoorTables;
  /** All of it as it is at this moment. */
  rows(): Promise<StoreRows>;
  /** Takes the bytes of what was erased off the disk, where that is not done yet. */
  sweep(): Promise<Swept>;
  close(): Promise<void>;
}
/** With word from the hubs that it is shared with. */
export interface HubStore extends OpenStore {
  news: StoreNews;
  /** How the last run here ended, where it was not told to end. */
  leftOpen: LeftOpen | undefined;
  /** Looks whether the file still is at its place. */
  look(): void;
  /** @throws FaultError STORE_MOVED where another file lies there, or none: nobody reads what this store holds there any more. */
  mustBeThere(): void;
  /** Resolves when the store can never be used again by this process. */
  failed: Promise<FailedStore>;
}
interface FailedStore {
  fault: Fault;
  /** Where all it held is saved, as a backup is; undefined where that could not be done. */
  saved: string | undefined;
}
/** Where a hub keeps its tests: a folder, or with an address the database there. */
export interface StorePlace {
  dataFolder: string;
  address?: string | undefined;
}

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
/** A log as long as this is written back. */
const LONG_LOG_BYTES = 4 * 1024 * 1024;

interface OpenSettings {
  sweepEveryMs?: number;
  /** Told of bytes of what was erased that have to stay for now. */
  onWaiting?: ((fault: Fault) => void) | undefined;
}

/**
 * Opens the data folder, which is then this process's alone; or with an address the database there, which it shares.
 * @throws FaultError STORE_IN_USE, STORE_DAMAGED, STORE_LOST, STORE_UNREACHABLE
 */
export async function openStore(
  dataFolder: string,
  address: string | undefined,
  books: StoredBooks,
  { sweepEveryMs, onWaiting }: OpenSettings = {},
): Promise<HubStore> {
  makeFolder(dataFolder);
  if (address === undefined) return openOwnFolder(dataFolder, books, onWaiting);
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
 * Opens a store for a command. Hubs may be at work with a database meanwhile: they read on.
 * @param how  `alone`: no hub may be at work with the folder, since a hub knows its tests by heart; `makes`: also where there is none yet.
 * @returns undefined where there is none.
 * @throws FaultError as `openStore`
 */
export async function openForCommand(
  { dataFolder, address }: StorePlace,
  books: StoredBooks,
  { alone = false, makes = false },
): Promise<OpenStore | undefined> {
  if (address === undefined) {
    if (makes) makeFolder(dataFolder);
    else if (!existsSync(storeFile(dataFolder))) return undefined;
    return openFolder(dataFolder, books, alone);
  }
  const database = await openOwnPostgres(address, books, { makes });
  try {
    if (makes || (await areThere(database, tablesOf(books)))) return openShared(database, books);
  } catch (error) {
    await database.close();
    throw error;
  }
  await database.close();
  return undefined;
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

function makeFolder(dataFolder: string): void {
  try {
    mkdirSync(dataFolder, { recursive: true, mode: 0o700 });
    keepFolderPrivate(dataFolder);
  } catch (cause) {
    throw new FaultError(
      { code: "STORE_LOST", with: { file: dataFolder, detail: String(cause) } },
      { cause },
    );
  }
}

/** A folder for a hub: tried in another process first, and marked as open until it is closed. */
function openOwnFolder(
  dataFolder: string,
  books: StoredBooks,
  onWaiting: OpenSettings["onWaiting"],
): HubStore {
  const path = storeFile(dataFolder);
  let before = leftOpen(path);
  let why: Fault | undefined;
  let fail: (failed: FailedStore) => void = () => undefined;
  const failed = new Promise<FailedStore>((resolve) => {
    fail = resolve;
  });
  const opened = openFolder(dataFolder, books, true, {
    before() {
      mustBeItsLog(path);
      // The hub is waited for: it goes on with what can be read.
      if (isLogDamaged(path)) before = { why: undefined, ...before, isLogDamaged: true };
      markWrittenBack(path);
      const isTried = existsSync(path) && tryDatabase(path, before !== undefined);
      // Whoever looks through it and closes it writes the log back.
      if (isTried && isWrittenBack(path)) unmark(path);
      return isTried;
    },
    onFailed(fault, database) {
      if (why) return;
      why = fault;
      fail({ fault, saved: fault.code === "STORE_MOVED" ? leavePlace(database) : undefined });
    },
    onWaiting,
  });
  const { file } = opened;
  markOpen(path);
  opened.shorten();
  // The place is another's now: what this process holds is saved beside it, and nothing of it is played into what lies there.
  function leavePlace(database: HubDatabase): string | undefined {
    const beside = `${path}.saved-${new Date().toISOString().replace(/[-:.]/g, "")}`;
    const saved = savedBeside(beside, database);
    file.takeLogAway(beside);
    return saved;
  }
  return {
    ...opened,
    news: nobodyElse,
    leftOpen: before,
    failed,
    look() {
      // Any reading looks whether the file is there.
      if (!file.isThere) opened.store.gradings().catch(() => undefined);
      else if (sizeOfLog(path) >= LONG_LOG_BYTES) opened.shorten();
    },
    mustBeThere: () => file.mustBeThere(),
    async close() {
      // Whoever closes a database takes the log away that lies at its place, be it another's.
      await (why?.code === "STORE_MOVED" ? opened.leave() : opened.close());
      if (why) markWhy(path, why);
    },
  };
}

/** Of a database whose file is gone everything still can be read as long as it is open. */
function savedBeside(saved: string, database: HubDatabase): string | undefined {
  try {
    keepPrivate(saved);
    database.prepare("VACUUM INTO ?").run(saved);
    settleCopy(saved);
    return saved;
  } catch {
    rmSync(saved, { force: true });
    return undefined;
  }
}

interface Watched {
  /** @returns whether the database was looked through already. */
  before(): boolean;
  onFailed(fault: Fault, database: HubDatabase): void;
  /** Told of bytes of what was erased that have to stay for now. */
  onWaiting?: ((fault: Fault) => void) | undefined;
}
/** A command reads no store of which a part would be missing. */
const byCommand = (file: string, isHeld: boolean): Watched => ({
  before() {
    willBeWrittenBack(file, { isHeld });
    return false;
  },
  onFailed: () => undefined,
});

function openFolder(
  dataFolder: string,
  books: StoredBooks,
  alone: boolean,
  watched = byCommand(storeFile(dataFolder), alone),
): OpenStore & { leave(): Promise<void>; shorten(): void; file: SameFile } {
  const file = storeFile(dataFolder);
  const letGo = alone ? holdFolder(dirname(file)) : () => undefined;
  try {
    if (alone) finishRestored(file);
    mustLeadSomewhere(dataFolder);
    mustHaveItsLog(file);
    mustNotBeGone(file, dataFolder);
    keepPrivate(file);
    const isTried = watched.before();
    const database = openDatabase(file, { isTried });
    const { onWaiting } = watched;
    // A hub stands still for nobody; a command has nothing else to do.
    if (alone) database.pragma(`busy_timeout = ${HELD_UP_MS}`);
    const free = whenFree(file, onWaiting);
    const sweeper = new SqliteSweeper(database, file, { isAlone: alone, onWaiting });
    const onFailed = (fault: Fault) => watched.onFailed(fault, database);
    const watch = new SameFile(file, storePlaceIn(dataFolder));
    const store = sqliteScorebook(database, file, books, onFailed, sweeper, watch, free);
    const door = sqliteDoorTables(database, file, books, sweeper, free);
    // Once in the life of a file that an earlier version wrote, or where a hub was killed between the erasing and the sweeping.
    if (alone && !sweeper.isSwept && sweeper.now() === "waiting") sweeper.soon();
    return {
      name: "sqlite",
      isShared: false,
      place: dataFolder,
      store,
      door,
      rows: async () => sqliteRows(file),
      sweep: async () => sweeper.now(),
      leave: async () => letGo(),
      shorten() {
        if (!database.open) return;
        const isSaid = sweeper.shorten();
        try {
          markOpen(file, isSaid);
        } catch {
          // A disk that turned read-only: what is kept stays, and whoever hands in more hears of it.
        }
      },
      file: watch,
      async close() {
        const letGoToo = alone ? letGo : heldHere(file);
        sweeper.isLast = letGoToo !== undefined;
        if (sweeper.isLast) markWrittenBack(file);
        await store.close();
        // Somebody who reads the file keeps its log: without that the last commits would be missing.
        if (alone && leftOpen(file) && !isWrittenBack(file)) markOpen(file, true);
        letGo();
        letGoToo?.();
        // On a full disk the file still says that it needs its log, and the mark that it does not.
        if (sweeper.isWhole) settleMark(file);
        else if (sweeper.isLast) markKeptWhole(file);
      },
    };
  } catch (error) {
    letGo();
    throw error;
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
