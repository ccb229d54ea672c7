import type { EntryKind } from "../kinds/all-kinds.ts";
import type { EntryOf } from "./entry.ts";

/** What each kind of entry changes in a view of the book. Every view says its own, and the scorebook asks that no kind is left out. */
export type Folds = { readonly [Kind in EntryKind]?: (entry: EntryOf<Kind>) => void };
