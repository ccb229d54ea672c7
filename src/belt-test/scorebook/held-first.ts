import type { AnyEntry } from "../../book/entry.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import { type EntryOf, isKnown } from "./entry.ts";

type Held = EntryOf<"held"> | EntryOf<"held-sealed">;
/** What a hub says it held at an opening, open or shut away. */
export const isHeld = (entry: AnyEntry): entry is Held => isKnown(entry) && held.has(entry.kind);
const held = kindsThatAre("held");

/**
 * The same entries in the same order, but that what a hub held at an opening stands right before it:
 * a hub that has heard it writes none of its own at that opening, by whatever it holds then.
 */
export function heldFirst<Entry extends AnyEntry>(entries: readonly Entry[]): Entry[] {
  const before = new Map<string, Entry[]>();
  for (const entry of entries) {
    if (!isHeld(entry)) continue;
    const its = before.get(entry.body.of);
    if (its) its.push(entry);
    else before.set(entry.body.of, [entry]);
  }
  if (before.size === 0) return [...entries];
  const openings = new Set(entries.map(({ id }) => id));
  return entries.flatMap((entry) =>
    isHeld(entry) && openings.has(entry.body.of) ? [] : [...(before.get(entry.id) ?? []), entry],
  );
}

/** What hubs held at these openings, as a book has it. */
export const heldAtOpenings = (book: Iterable<AnyEntry>, openings: ReadonlySet<string>): Held[] =>
  [...book].filter((entry): entry is Held => isHeld(entry) && openings.has(entry.body.of));
