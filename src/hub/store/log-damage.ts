import { existsSync, readFileSync } from "node:fs";

const HEADER = 32;
const PAGE_HEADER = 24;
/** The first word of a log whose sums are of big-endian words; else they are of little-endian ones. */
const BIG_ENDIAN = 0x377f0683;

/** Goes on from the one before it. */
type Sum = readonly [number, number];

/**
 * Whether the library that reads a database would leave something out of its log without a word: it stops at the first page of which the sum is wrong. Where
 * a power cut tore the last write nothing that fits together follows; where it does, what was acknowledged is damaged.
 *
 * Source of the form: https://www.sqlite.org/fileformat2.html#walformat
 *
 * @param path  the database's, which nobody has opened since
 */
export function isLogDamaged(path: string): boolean {
  const log = `${path}-wal`;
  if (!existsSync(log)) return false;
  const bytes = readFileSync(log);
  if (bytes.length <= HEADER) return false;
  const isBig = bytes.readUInt32BE(0) === BIG_ENDIAN;
  const word = (at: number) => (isBig ? bytes.readUInt32BE(at) : bytes.readUInt32LE(at));
  const added = (sum: Sum, from: number, upTo: number): Sum => {
    let [one, other] = sum;
    for (let at = from; at < upTo; at += 8) {
      one = (one + word(at) + other) >>> 0;
      other = (other + word(at + 4) + one) >>> 0;
    }
    return [one, other];
  };
  const sumAt = (at: number): Sum => [bytes.readUInt32BE(at), bytes.readUInt32BE(at + 4)];
  const isSum = (sum: Sum, at: number) => String(sum) === String(sumAt(at));
  if (!isSum(added([0, 0], 0, 24), 24)) return true;
  const size = PAGE_HEADER + bytes.readUInt32BE(8);
  const pages = Math.floor((bytes.length - HEADER) / size);
  /** Whether a page goes on from what stands before it, be that what it was or not. Pages of an earlier round of this log bear other numbers. */
  const goesOn = (index: number): boolean => {
    const at = HEADER + index * size;
    const before = sumAt(index === 0 ? 24 : at - size + 16);
    const isOfThisRound = bytes.compare(bytes, 16, 24, at + 8, at + 16) === 0;
    return (
      isOfThisRound && isSum(added(added(before, at, at + 8), at + PAGE_HEADER, at + size), at + 16)
    );
  };
  let read = 0;
  while (read < pages && goesOn(read)) read++;
  // Of a commit that a full disk broke off pages may fit one another, and none of them ends a commit.
  const endsCommit = (index: number) => bytes.readUInt32BE(HEADER + index * size + 4) > 0;
  for (let index = read + 1; index < pages; index++)
    if (goesOn(index) && endsCommit(index)) return true;
  return false;
}
