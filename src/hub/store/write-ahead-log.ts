import { existsSync, readFileSync } from "node:fs";
import { withStoreFaults } from "./store-faults.ts";

/**
 * A store's log as bytes.
 * Source of the form: https://www.sqlite.org/fileformat2.html#walformat
 */
export interface Log {
  bytes: Buffer;
  /** So many bytes a page takes up, with what stands before it. */
  size: number;
  /** Whole pages; what is left of an earlier round of the log among them. */
  pages: number;
}
const LOG_HEADER = 32;
export const PAGE_HEADER = 24;

/** @param path  the database's, which nobody has opened since. @returns undefined where its log holds nothing. @throws FaultError STORE_LOST */
export function readLog(path: string): Log | undefined {
  const log = `${path}-wal`;
  if (!existsSync(log)) return undefined;
  const bytes = withStoreFaults(log, () => readFileSync(log));
  if (bytes.length <= LOG_HEADER) return undefined;
  const size = PAGE_HEADER + bytes.readUInt32BE(8);
  return { bytes, size, pages: Math.floor((bytes.length - LOG_HEADER) / size) };
}

/** Where this page begins, with what stands before it. */
export const placeOfPage = ({ size }: Log, index: number): number => LOG_HEADER + index * size;

/** Pages of an earlier round of the log bear other numbers. */
export const isOfThisRound = ({ bytes }: Log, at: number): boolean =>
  bytes.compare(bytes, 16, 24, at + 8, at + 16) === 0;
