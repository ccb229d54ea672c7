import { existsSync } from "node:fs";
import { dirname } from "node:path";
import Database from "libsql";
import { FaultError } from "../../book/faults.ts";
import { markWhole, saysApart } from "./apart-mark.ts";
import { holdFolder } from "./hold-folder.ts";
import { isLogDamaged } from "./log-damage.ts";
import { isLogOfAnother } from "./log-round.ts";
import {
  isWrittenBack,
  leftOpen,
  logOf,
  markWrittenBack,
  mustHaveItsLog,
  unmark,
} from "./open-mark.ts";
import { withStoreFaults } from "./store-faults.ts";

export type HubDatabase = Database.Database;

/**
 * Opens the hub's database file for a process that must survive a power cut:
 * a write-ahead log, and a commit that returns only when the disk has it.
 * @param isTried  another process has just looked through it (try-database.ts).
 * @throws FaultError STORE_DAMAGED, STORE_LOG_GONE, STORE_LOST or STORE_FULL, with the file's path.
 */
export function openDatabase(path: string, { isTried = false } = {}): HubDatabase {
  return withStoreFaults(path, () => {
    mustHaveItsLog(path);
    const database = new Database(path);
    database.pragma("busy_timeout = 5000");
    database.pragma("journal_mode = WAL");
    // NORMAL would lose the last commits of a WAL on a power cut; an acknowledged mark may not be lost.
    database.pragma("synchronous = FULL");
    // By itself the library would write back that the file is whole, and go on in the log (apart-mark.ts).
    database.pragma("wal_autocheckpoint = 0");
    database.pragma("foreign_keys = ON");
    // What is erased leaves no bytes behind in free pages, nor in a file that nobody looks at.
    database.pragma("secure_delete = ON");
    database.pragma("temp_store = MEMORY");
    if (!isTried) mustBeSound(database, path);
    return database;
  });
}

/**
 * Opens a database file, or a copy of one, that is only read: a copy stays as it is, also on a stick that cannot be written to.
 * @throws FaultError STORE_DAMAGED or STORE_LOST, with the file's path.
 */
export function openToRead(path: string): HubDatabase {
  return withStoreFaults(path, () => {
    mustHaveItsLog(path);
    const { isOurs } = willBeWrittenBack(path);
    const database = new Database(path);
    database.pragma("busy_timeout = 5000");
    database.pragma("trusted_schema = OFF");
    // Its log goes with whoever closes it: then the file has to say that it needs none. A hub may have been killed as it was writing it back.
    if (isOurs && saysApart(database)) markWhole(database);
    mustBeSound(database, path);
    return database;
  });
}

/**
 * Whoever reads the store of a hub that was killed is the last to close it, and writes its log back by that: of one that is damaged a part would be missing
 * from then on, and nothing would say so. Beside a running hub nobody is the last.
 * @returns whether that is so here: it has a log, and no hub is at work
 * @throws FaultError STORE_LOG_DAMAGED, STORE_LOG_OTHER
 */
export function willBeWrittenBack(
  path: string,
  { isHeld = false } = {},
): {
  isOurs: boolean;
} {
  if (!existsSync(logOf(path))) return { isOurs: false };
  const letGo = isHeld ? nothing : heldHere(path);
  if (!letGo) return { isOurs: false };
  try {
    mustBeItsLog(path);
    if (isLogDamaged(path))
      throw new FaultError({ code: "STORE_LOG_DAMAGED", with: { file: path, log: logOf(path) } });
    markWrittenBack(path);
    return { isOurs: true };
  } finally {
    letGo();
  }
}

/** Nobody has the file open. @throws FaultError STORE_LOG_OTHER */
export function mustBeItsLog(path: string): void {
  if (isLogOfAnother(path))
    throw new FaultError({ code: "STORE_LOG_OTHER", with: { file: path, log: logOf(path) } });
}

const nothing = (): void => {};
/** Holds the folder of this file. Undefined where a hub has it; where nothing can be written nobody is at work. */
export function heldHere(path: string): (() => void) | undefined {
  try {
    return holdFolder(dirname(path));
  } catch (error) {
    return error instanceof FaultError && error.fault.code === "STORE_IN_USE" ? undefined : nothing;
  }
}

function mustBeSound(database: HubDatabase, path: string): void {
  const [sound] = database.pragma("quick_check(1)") as { quick_check: string }[];
  if (!sound || sound.quick_check === "ok") return;
  database.close();
  throw new FaultError({ code: "STORE_DAMAGED", with: { file: path, detail: sound.quick_check } });
}

/** A hub that was killed, or ended while somebody read its store, left its mark; once its log is written back, by whoever closed it last, nothing is missing without it. */
export function settleMark(path: string): void {
  const left = leftOpen(path);
  if (!left || left.why !== undefined || !isWrittenBack(path)) return;
  const letGo = heldHere(path);
  // Where a hub is at work the mark is its own.
  if (!letGo) return;
  try {
    unmark(path);
  } catch {
    // Where nothing can be written it stays.
  }
  letGo();
}
