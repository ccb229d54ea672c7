import { isKnown, readEntry } from "../../../belt-test/scorebook/entry.ts";
import { fold } from "../../../belt-test/scorebook/scorebook.ts";
import { ScorebookFile } from "../../../belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../../book/entry.ts";
import { highestTaken } from "../../../book/lamport-leap.ts";
import { refsIn } from "../../../line/refs-in.ts";
import { checkedSides } from "../../../line/test-side-check.ts";
import type { Pass, TabletStore } from "../../../ports/tablet-store.ts";
import { readLines } from "../../notebook/unread-lines.ts";

export type TakenScorebook =
  /** Lines that were not here, and are on this device's way to the hub now; and how many only a newer app can read. */
  { taken: number; unread: number } | { problem: "file-not" | "file-other" | "file-person" };

/**
 * What somebody wrote on another device of theirs, or on this one under an address that the hub had before, comes here as a file.
 * Only what this device's person wrote is taken; it keeps its number, and the hub decides whether it had it. On the disk when it resolves.
 */
export async function takeScorebook(
  store: TabletStore,
  { grading, person, roles }: Pass,
  text: string,
): Promise<TakenScorebook> {
  const file = readFile(text);
  if (!file) return { problem: "file-not" };
  if (file.grading !== grading) return { problem: "file-other" };
  if (!person || file.person !== person) return { problem: "file-person" };
  const book = fold((await store.read(grading, 0)).map(({ entry }) => entry));
  const { entries, unread } = readLines(readEntry, file.entries);
  const highest = highestTaken(book.lamport, roles.includes("chief") ? "chief" : "other");
  const own = entries.filter((entry) => {
    const isOwn = entry.by === person && entry.grading === grading;
    // A logical time far ahead would be this tablet's next, and nobody would take a line of it any more.
    const isAhead = entry.lamport > highest;
    return isOwn && !isAhead && !book.entry(entry.id);
  });
  // Words that are not what their line refers to, or are filed under somebody else, stay in the file.
  const { shown } = checkedSides([...book.entries(), ...own], file.sides);
  const sides = new Map(shown.map((side) => [side.id, side]));
  let plain: AnyEntry[] = [];
  for (const entry of own) {
    const its = (isKnown(entry) ? refsIn(entry) : []).flatMap(({ id }) => sides.get(id) ?? []);
    if (its.length === 0) {
      plain.push(entry);
      continue;
    }
    // With its own words only; and in the order of the file, so that a device's count has no hole.
    if (plain.length > 0) await store.keep(grading, plain);
    plain = [];
    await store.keep(grading, [entry], its);
  }
  if (plain.length > 0) await store.keep(grading, plain);
  return { taken: own.length, unread: unread.length };
}

function readFile(text: string): ScorebookFile | undefined {
  try {
    const read = ScorebookFile.safeParse(JSON.parse(text));
    return read.success ? read.data : undefined;
  } catch {
    return undefined;
  }
}
