import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import { kindsThatAre, rowOf } from "../kinds/all-kinds.ts";
import { isKnown } from "./entry.ts";
import { sizeFault } from "./entry-sizes.ts";
import { isCountedRightly } from "./place-counts.ts";

/** No tablet's clock is so wrong by accident, and a date beyond the year 275760 breaks whoever writes it down. Milliseconds since 1970. */
const LATEST_MS = Date.UTC(2200, 0, 1);

/** The title, rubrics and the fault library are words for everybody; a box is none. */
const worded = kindsThatAre("worded");
/** Ids, dates, digests and the keys of questions have no blank in them; words that somebody writes have. */
const words = /[\s\p{C}]/u;
/** The key of a question is the longest of them. */
const LONGEST = 300;

/**
 * What is wrong with a new entry as such, whatever the book says: its size, words in it, its time.
 * Words belong beside an entry, since whoever is sent the entry is sent all of it, keys of next year too.
 * Kinds of next year keep to it too: nobody knows here whom their words would be about.
 * Only new entries are asked: what is in a book is read as it is. A stop, an incident and a withdrawal are not asked for their time: a clock may be
 * wrong where somebody is hurt.
 */
export function borderFault(entry: AnyEntry): Fault | null {
  const size = sizeFault(entry);
  if (!isCountedRightly(entry))
    return {
      code: "ENTRY_MALFORMED",
      with: { path: "device", detail: "a count of another place" },
    };
  if (size) return size;
  if (isKnown(entry) && entry.at > LATEST_MS && rowOf(entry.kind).writers !== "anyone")
    return { code: "ENTRY_MALFORMED", with: { path: "at", detail: "not a time of our days" } };
  const path = worded.has(entry.kind) ? undefined : wordsIn(entry);
  return path === undefined
    ? null
    : { code: "ENTRY_MALFORMED", with: { path, detail: "words that belong beside the entry" } };
}

/** The path to the first text or key that is more than a name for something; undefined where there is none. */
function wordsIn(value: unknown, path: readonly string[] = []): string | undefined {
  if (typeof value === "string")
    return value.length > LONGEST || words.test(value) ? path.join(".") : undefined;
  if (typeof value !== "object" || value === null) return undefined;
  for (const [key, inner] of Object.entries(value)) {
    // A path is shown to people, so it ends before the words.
    if (key.length > LONGEST || words.test(key)) return path.join(".");
    const found = wordsIn(inner, [...path, key]);
    if (found !== undefined) return found;
  }
  return undefined;
}
