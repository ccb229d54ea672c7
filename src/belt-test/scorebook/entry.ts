import type * as z from "zod/mini";
import type { EntryIn } from "../../book/vocabulary.ts";
import { type allKinds, beltTest, type EntryKind } from "../kinds/all-kinds.ts";

export type EntryBody<Kind extends EntryKind> = z.infer<(typeof allKinds)[Kind]["body"]>;

/** An entry of a kind this version knows. */
export type Entry = EntryIn<typeof allKinds>;
export type EntryOf<Kind extends EntryKind> = Extract<Entry, { kind: Kind }>;

export const { readEntry, asRead, isKnown } = beltTest;
