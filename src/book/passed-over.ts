import { sha256 } from "@noble/hashes/sha2.js";
import { bytesToHex, utf8ToBytes } from "@noble/hashes/utils.js";
import * as z from "zod/mini";
import type { AnyEntry } from "./entry.ts";
import { PersonId } from "./identity.ts";
import { keyed } from "./keyed.ts";
import { orderedText } from "./ordered-text.ts";

/** So many lines are remembered of one person, the newest: a file full of nonsense pushes nobody else's out. */
const MOST_LINES = 2_000;
const MOST_PEOPLE = 1_000;

/**
 * What a chief's device passed over when it took files: whose, and of each line the SHA-256, hex, of what it says. Whoever writes another line under its id
 * keeps out nothing but their own.
 */
export const PassedOver = z
  .array(
    z.strictObject({
      by: PersonId,
      lines: z.array(z.string().check(z.regex(/^[0-9a-f]{64}$/))).check(z.maxLength(MOST_LINES)),
    }),
  )
  .check(z.maxLength(MOST_PEOPLE));
export type PassedOver = z.infer<typeof PassedOver>;

/** The same after one person's file more. @param taken  what was passed over before, and is taken by now, leaves the list */
export function withPassedOver(
  before: PassedOver,
  passed: readonly AnyEntry[],
  taken: readonly AnyEntry[],
): PassedOver {
  const lists = new Map(before.map(({ by, lines }) => [by, new Set(lines)]));
  for (const line of passed.slice(-MOST_LINES)) {
    const its = keyed(lists, line.by, () => new Set());
    const digest = digestOf(line);
    // Once more is the newest.
    its.delete(digest);
    its.add(digest);
  }
  for (const line of taken) lists.get(line.by)?.delete(digestOf(line));
  return [...lists]
    .map(([by, lines]) => ({ by, lines: [...lines].slice(-MOST_LINES) }))
    .filter(({ lines }) => lines.length > 0)
    .slice(-MOST_PEOPLE);
}

/** Whether a line is among them. */
export function isAmong(passedOver: PassedOver): (entry: AnyEntry) => boolean {
  const all = new Map(passedOver.map(({ by, lines }) => [by, new Set(lines)]));
  return (entry) => all.get(entry.by)?.has(digestOf(entry)) === true;
}

const digestOf = (entry: AnyEntry): string => bytesToHex(sha256(utf8ToBytes(orderedText(entry))));
