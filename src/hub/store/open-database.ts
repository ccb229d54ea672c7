import Database from "libsql";
import { type FaultCode, FaultError } from "../../book/faults.ts";
import { mustHaveItsLog } from "./open-mark.ts";

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
    const database = new Database(path);
    database.pragma("busy_timeout = 5000");
    database.pragma("trusted_schema = OFF");
    mustBeSound(database, path);
    return database;
  });
}

function mustBeSound(database: HubDatabase, path: string): void {
  const [sound] = database.pragma("quick_check(1)") as { quick_check: string }[];
  if (!sound || sound.quick_check === "ok") return;
  database.close();
  throw new FaultError({ code: "STORE_DAMAGED", with: { file: path, detail: sound.quick_check } });
}

/** Runs `work` and turns what SQLite throws into a coded fault; other errors pass. */
export function withStoreFaults<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof FaultError) throw error;
    const code = storeFault(error);
    if (!code) throw error;
    const detail = error instanceof Error ? error.message : String(error);
    throw new FaultError({ code, with: { file: path, detail } }, { cause: error });
  }
}

function storeFault(error: unknown): FaultCode | undefined {
  if (!(error instanceof Error)) return undefined;
  const { code = "" } = error as { code?: string };
  if (/^SQLITE_(CORRUPT|NOTADB|FORMAT)/.test(code)) return "STORE_DAMAGED";
  // Tables that are there and are not ours.
  if (/no such (column|table)|malformed/.test(error.message)) return "STORE_DAMAGED";
  if (/^SQLITE_FULL/.test(code)) return "STORE_FULL";
  if (/^SQLITE_(BUSY|LOCKED|IOERR|CANTOPEN|READONLY|PERM|AUTH)/.test(code)) return "STORE_LOST";
  if (/ConnectionFailed|unable to open/i.test(error.message)) return "STORE_LOST";
  if (/connection is not open/.test(error.message)) return "STORE_CLOSED";
  return undefined;
}
