import { type FaultCode, FaultError } from "../../book/faults.ts";

/** Runs `work` and turns what SQLite throws, or the system of a file, into a coded fault; other errors pass. */
export function withStoreFaults<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof FaultError) throw error;
    throwStoreFault(path, error);
    throw error;
  }
}

/** @throws FaultError where it is one that a store has; other errors pass. */
export function throwStoreFault(path: string, error: unknown): void {
  const code = storeFault(error);
  if (!code) return;
  const detail = error instanceof Error ? error.message : String(error);
  throw new FaultError({ code, with: { file: path, detail } }, { cause: error });
}

function storeFault(error: unknown): FaultCode | undefined {
  if (!(error instanceof Error)) return undefined;
  const { code = "" } = error as { code?: string };
  if (/^SQLITE_(CORRUPT|NOTADB|FORMAT)/.test(code)) return "STORE_DAMAGED";
  // Tables that are there and are not ours.
  if (/no such (column|table)|malformed/.test(error.message)) return "STORE_DAMAGED";
  // The index of a log cannot be made on a full disk.
  if (/^(SQLITE_(FULL|IOERR_SHMSIZE)|ENOSPC|EDQUOT)/.test(code)) return "STORE_FULL";
  if (/^SQLITE_(BUSY|LOCKED|IOERR|CANTOPEN|READONLY|PERM|AUTH)/.test(code)) return "STORE_LOST";
  // What lies beside a store is written without the library.
  if (/^(EACCES|EPERM|EROFS|EIO|ENOENT|ENOTDIR|EISDIR|ERR_FS_EISDIR)$/.test(code))
    return "STORE_LOST";
  if (/ConnectionFailed|unable to open/i.test(error.message)) return "STORE_LOST";
  if (/connection is not open/.test(error.message)) return "STORE_CLOSED";
  return undefined;
}
