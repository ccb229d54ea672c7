import { existsSync, rmSync } from "node:fs";
import { dirname } from "node:path";
import type { Fault } from "../../book/faults.ts";
import { nobodyElse } from "../../ports/store-news.ts";
import { backUp, finishRestored, restore } from "./backup.ts";
import { holdFolder } from "./hold-folder.ts";
import { settleCopy } from "./is-copy.ts";
import { isLogDamaged } from "./log-damage.ts";
import { makeFolder } from "./make-folder.ts";
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
  leftOpen,
  markKeptWhole,
  markOpen,
  markWhy,
  markWrittenBack,
  mustHaveItsLog,
  sizeOfLog,
  unmark,
} from "./open-mark.ts";
import { keepPrivate } from "./private-files.ts";
import { SameFile } from "./same-file.ts";
import { finishSettingAside, setAside } from "./set-aside.ts";
import { sqliteDoorTables } from "./sqlite-door-tables.ts";
import { sqliteRows } from "./sqlite-rows.ts";
import { sqliteScorebook } from "./sqlite-scorebook.ts";
import { SqliteSweeper } from "./sqlite-sweeper.ts";
import { mustNotBeGone } from "./stands-log.ts";
import { mustLeadSomewhere, storeFile, storePlaceIn } from "./store-file.ts";
import type { FailedStore, HubStore, OpenSettings, OpenStore, StoreHome } from "./store-home.ts";
import type { StoredBooks } from "./stored-books.ts";
import { tryDatabase } from "./try-database.ts";
import { HELD_UP_MS, whenFree } from "./when-free.ts";

/** A log as long as this is written back. */
const LONG_LOG_BYTES = 4 * 1024 * 1024;

/** A folder with a store of its own. */
export function folderHome(dataFolder: string, books: StoredBooks): StoreHome {
  return {
    dataFolder,
    isShared: false,
    shown: dataFolder,
    async forHub({ onWaiting } = {}) {
      makeFolder(dataFolder);
      return openOwnFolder(dataFolder, books, onWaiting);
    },
    async forCommand({ alone = false, makes = false }) {
      if (makes) makeFolder(dataFolder);
      else if (!existsSync(storeFile(dataFolder))) return undefined;
      return openFolder(dataFolder, books, alone);
    },
    hold: () => holdFolder(dirname(storeFile(dataFolder))),
    isTaken: () => existsSync(storeFile(dataFolder)),
    async copyTo(copy) {
      if (!existsSync(storeFile(dataFolder))) return false;
      backUp(storeFile(dataFolder), copy);
      return true;
    },
    async takeCopy(copy) {
      const path = storeFile(dataFolder);
      let aside: string | null = null;
      await restore(copy, path, books, () => {
        // Also where an earlier try was cut off between two names.
        aside = existsSync(path) ? setAside(path) : (finishSettingAside(path) ?? null);
      });
      return { aside };
    },
    options: ["--data", dataFolder],
    env: {},
    optionsToPutBack: (short) => ["--data", short(dataFolder), "--set-aside"],
  };
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
