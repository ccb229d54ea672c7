import { join } from "node:path";
import Database from "libsql";
import { FaultError } from "../../book/faults.ts";
import { withStoreFaults } from "./store-faults.ts";

/**
 * Takes a data folder for this process alone: a hub, an import, whatever writes to the store.
 *
 * The lock is SQLite's own, on an empty file beside the database. The system drops it with the process, so that after a
 * power cut or a kill nothing is left to clear away, and no number of a process that somebody else has by now.
 * @returns lets the folder go.
 * @throws FaultError STORE_IN_USE when somebody has it; STORE_LOST when the folder cannot be used.
 */
export function holdFolder(folder: string): () => void {
  const file = join(folder, "in-use.lock");
  return withStoreFaults(file, () => {
    const lock = new Database(file);
    try {
      lock.pragma("busy_timeout = 0");
      lock.pragma("journal_mode = MEMORY");
      lock.exec("BEGIN EXCLUSIVE");
    } catch (cause) {
      lock.close();
      const { code = "" } = cause as { code?: string };
      if (!/^SQLITE_(BUSY|LOCKED)/.test(code)) throw cause;
      throw new FaultError({ code: "STORE_IN_USE", with: { folder } }, { cause });
    }
    return () => {
      if (!lock.open) return;
      lock.exec("ROLLBACK");
      lock.close();
    };
  });
}
