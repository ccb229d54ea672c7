import { type FaultCode, FaultError } from "../../book/faults.ts";

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
