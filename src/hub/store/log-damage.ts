import { isOfThisRound, PAGE_HEADER, placeOfPage, readLog } from "./write-ahead-log.ts";

/** The first word of a log whose sums are of big-endian words; else they are of little-endian ones. */
const BIG_ENDIAN = 0x377f0683;

/** Goes on from the one before it. */
type Sum = readonly [number, number];

/**
 * Whether the library that reads a database would leave something out of its log without a word: it stops at the first page of which the sum is wrong. Where
 * a power cut tore the last write nothing that fits together follows; where it does, what was acknowledged is damaged.
 *
 * @param path  the database's, which nobody has opened since
 */
export function isLogDamaged(path: string): boolean {
  const log = readLog(path);
  if (!log) return false;
  const { bytes, size, pages } = log;
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
  /** Whether a page goes on from what stands before it, be that what it was or not. */
  const goesOn = (index: number): boolean => {
    const at = placeOfPage(log, index);
    const before = sumAt(index === 0 ? 24 : at - size + 16);
    return (
      isOfThisRound(log, at) &&
      isSum(added(added(before, at, at + 8), at + PAGE_HEADER, at + size), at + 16)
    );
  };
  let read = 0;
  while (read < pages && goesOn(read)) read++;
  // Of a commit that a full disk broke off pages may fit one another, and none of them ends a commit.
  const endsCommit = (index: number) => bytes.readUInt32BE(placeOfPage(log, index) + 4) > 0;
  for (let index = read + 1; index < pages; index++)
    if (goesOn(index) && endsCommit(index)) return true;
  return false;
}
