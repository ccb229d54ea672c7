import { closeSync, openSync, readSync } from "node:fs";
import { beginRound } from "./log-round.ts";
import type { HubDatabase } from "./open-database.ts";

/**
 * The number of our files (`application_id`): of a file whose last commits lie in its log, and of one with its log, or without need of one. A hub at work
 * leaves the first in the file and the second in the log, so that a file that was copied without its log says so, and whoever writes the log back, a command
 * too, makes it whole by that.
 */
const APART = 0x45766861;
export const WHOLE = 0x45766864;
/** Where it stands in the file, big-endian: https://www.sqlite.org/fileformat2.html#application_id */
const PLACE = 68;

/** Writes the log back and empties it. @returns false where somebody still reads what is in it. */
export function writeLogBack(database: HubDatabase): boolean {
  database.exec(`PRAGMA application_id = ${APART}`);
  beginRound(database);
  try {
    const [{ busy }] = database.pragma("wal_checkpoint(TRUNCATE)") as [{ busy: number }];
    return busy === 0;
  } finally {
    // Whoever does not wait for readers waits for this: nobody writes for long.
    database.pragma("busy_timeout = 5000");
    markWhole(database);
  }
}

/** The same for the last time: all stands in the file. */
export function writeLogBackForGood(database: HubDatabase): void {
  markWhole(database);
  database.pragma("wal_checkpoint(TRUNCATE)");
}

/**
 * Whether the last commits of this file lie in its log. Asked only where there is no log, so that nobody has the file open: with a second handle of a file the
 * system takes away all locks that the process has on it.
 */
export function isApart(path: string): boolean {
  let file: number;
  try {
    file = openSync(path, "r");
  } catch {
    return false;
  }
  try {
    const number = Buffer.alloc(4);
    return readSync(file, number, 0, 4, PLACE) === 4 && number.readUInt32BE() === APART;
  } finally {
    closeSync(file);
  }
}

/** What the file and its log say together. */
export function saysApart(database: HubDatabase): boolean {
  const [{ application_id: number }] = database.pragma("application_id") as [
    { application_id: number },
  ];
  return number === APART;
}

/** A file whose log was empty, or is written back: nothing is apart. */
export function markWhole(database: HubDatabase): void {
  database.exec(`PRAGMA application_id = ${WHOLE}`);
}
