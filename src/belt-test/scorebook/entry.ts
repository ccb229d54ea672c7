import type { EntryOfKind } from "../../book/entry.ts";
import type { BodiesIn, EntryIn } from "../../book/vocabulary.ts";
import { type allKinds, beltTest, type EntryKind } from "../kinds/all-kinds.ts";

export type Bodies = BodiesIn<typeof allKinds>;
export type EntryBody<Kind extends EntryKind> = Bodies[Kind];

/** An entry of a kind this version knows. */
export type Entry = EntryIn<typeof allKinds>;
export type EntryOf<Kind extends EntryKind> = {
  [One in Kind]: EntryOfKind<One, Bodies[One]>;
}[Kind];

export const { readEntry, asRead, isKnown } = beltTest;
