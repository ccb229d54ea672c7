import { existsSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import { type Fault, FaultError, faultCodes } from "../../book/faults.ts";
import { isApart } from "./apart-mark.ts";
import { withStoreFaults } from "./store-faults.ts";

/** Beside a database while a hub has it open; what is left of it says that the hub never came to close it. */
const markOf = (path: string): string => `${path}-open`;
export const logOf = (path: string): string => `${path}-wal`;

/** How a hub's last run ended, where it did not end by being told to. */
export interface LeftOpen {
  /** Why it could not go on; undefined where it said nothing: a power cut, a kill, or an abort of the library that reads the database. */
  why: Fault | undefined;
  /** Of what was written last a part cannot be read. */
  isLogDamaged?: true;
}

/** @param path  the database's */
export function leftOpen(path: string): LeftOpen | undefined {
  if (!existsSync(markOf(path))) return undefined;
  const { why } = readMark(path);
  return { why: why && faultCodes.includes(why.code) ? why : undefined };
}

interface Mark {
  why?: Fault;
  /** The log may be gone: it was being written back into the database. */
  isWrittenBack?: boolean;
  /** The database itself says whether it needs its log (apart-mark.ts), also when a command has written it back. */
  isSaid?: boolean;
  /** Whatever the file says: on a full disk it could not be written that it needs no log. */
  isWhole?: boolean;
}
/** A mark that was cut off by a power cut says nothing but that it is there. */
function readMark(path: string): Mark {
  try {
    return JSON.parse(readFileSync(markOf(path), "utf8")) as Mark;
  } catch {
    return {};
  }
}

/** @throws FaultError STORE_LOST or STORE_FULL, with the mark's path */
function writeMark(path: string, mark: Mark): void {
  const file = markOf(path);
  withStoreFaults(file, () => writeFileSync(file, JSON.stringify(mark), { mode: 0o600 }));
}

/** From here on the log is written back into the database, and goes: whoever is killed meanwhile has lost nothing. No mark is made where there is none. */
export function markWrittenBack(path: string): void {
  if (existsSync(markOf(path))) writeMark(path, { ...readMark(path), isWrittenBack: true });
}

/** It is closed, all stands in the database, and that could not be written in it. */
export function markKeptWhole(path: string): void {
  if (existsSync(markOf(path)) && isWrittenBack(path))
    writeMark(path, { ...readMark(path), isWhole: true });
}

/** From now on this database is open; its log is there. @param isSaid  whether the database says so itself */
export function markOpen(path: string, isSaid = false): void {
  writeMark(path, isSaid ? { isSaid } : {});
}

/** The last words of a hub that cannot go on. */
export function markWhy(path: string, why: Fault): void {
  writeMark(path, { why });
}

/** Whether everything that was written stands in the database itself, and nothing in its log. */
export const isWrittenBack = (path: string): boolean => sizeOfLog(path) === 0;
/** Bytes; 0 where there is none. */
export const sizeOfLog = (path: string): number =>
  existsSync(logOf(path)) ? statSync(logOf(path)).size : 0;

/** The database is closed, and nothing is lost when its log goes. */
export const unmark = (path: string): void => rmSync(markOf(path), { force: true });

/**
 * A hub that was not closed has left its last commits in the log, and so has a file that was copied from a hub at work: without it they would be missing, and
 * nothing would say so.
 * @throws FaultError STORE_LOG_GONE; STORE_FILE_GONE where the log is there and the database is not; STORE_LOST where it cannot be read
 */
export function mustHaveItsLog(path: string): void {
  const left = leftOpen(path);
  const files = { file: path, log: logOf(path), mark: markOf(path), folder: dirname(path) };
  // Its log alone: whoever made a new store here would throw it away.
  const isThere = existsSync(path) && statSync(path).size > 0;
  if (!isThere && !isWrittenBack(path))
    throw new FaultError({ code: "STORE_FILE_GONE", with: files });
  if (!existsSync(path) || existsSync(logOf(path))) return;
  const { isWrittenBack: mayBeGone, isSaid, isWhole } = readMark(path);
  const wasLeft = left !== undefined && left.why === undefined && !mayBeGone && !isSaid;
  if (isWhole || (!wasLeft && !withStoreFaults(path, () => isApart(path)))) return;
  throw new FaultError({ code: "STORE_LOG_GONE", with: files });
}
