import { randomInt } from "node:crypto";
import { closeSync, existsSync, openSync, readSync } from "node:fs";
import type { HubDatabase } from "./open-database.ts";
import { isOfThisRound, PAGE_HEADER, placeOfPage, readLog } from "./write-ahead-log.ts";

/**
 * The file's own number (`user_version`): the lowest byte says whether it is swept (sqlite-sweeper.ts), the rest is its round, another one whenever its log is
 * written back, and of each copy. The library plays whatever log lies beside a file into it; by the round it is seen that the two belong together.
 */
const ROUND = 256;
/** Where it stands in the first page, big-endian: https://www.sqlite.org/fileformat2.html#user_version_number */
const PLACE = 60;

/** What the lowest byte says. */
export const sweptIn = (database: HubDatabase): number => numberOf(database) % ROUND;
export function writeSwept(database: HubDatabase, swept: number): void {
  const number = numberOf(database);
  database.exec(`PRAGMA user_version = ${number - (number % ROUND) + swept}`);
}
export function beginRound(database: HubDatabase): void {
  database.exec(`PRAGMA user_version = ${randomInt(1, 2 ** 23) * ROUND + sweptIn(database)}`);
}
const numberOf = (database: HubDatabase): number => {
  const [{ user_version: number }] = database.pragma("user_version") as [{ user_version: number }];
  return number;
};

/**
 * Whether the log there is of another file, or of another moment of this one: one of the two was put there by hand, or copied while a hub was at work.
 *
 * @param path  the database's, which nobody has open: see `isApart`
 */
export function isLogOfAnother(path: string): boolean {
  const log = readLog(path);
  if (!log || !existsSync(path)) return false;
  const rounds = new Set<number>();
  for (let index = 0; index < log.pages; index++) {
    const at = placeOfPage(log, index);
    const isFirstPage = log.bytes.readUInt32BE(at) === 1;
    if (isFirstPage && isOfThisRound(log, at))
      rounds.add(roundOf(log.bytes.readUInt32BE(at + PAGE_HEADER + PLACE)));
  }
  return rounds.size > 0 && !rounds.has(roundOf(numberInFile(path)));
}
const roundOf = (number: number): number => Math.floor(number / ROUND);

function numberInFile(path: string): number {
  const file = openSync(path, "r");
  try {
    const number = Buffer.alloc(4);
    readSync(file, number, 0, 4, PLACE);
    return number.readUInt32BE();
  } finally {
    closeSync(file);
  }
}
