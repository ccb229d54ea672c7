import { disjoint } from "../../book/disjoint.ts";
import { vocabularyOf } from "../../book/vocabulary.ts";
import { anyoneKinds } from "./anyone.ts";
import { callKinds } from "./call.ts";
import { decisionKinds } from "./decision.ts";
import { deskKinds } from "./desk.ts";
import { judgeKinds } from "./judge.ts";
import type { KindRow } from "./kind-row.ts";
import { planKinds } from "./plan.ts";
import { standardKinds } from "./standards.ts";

/**
 * Every kind of entry. Bodies are read tolerantly: keys this version does not know are kept untouched,
 * so that a tablet of last year and a hub of this year lose nothing.
 */
export const allKinds = disjoint(
  planKinds,
  deskKinds,
  callKinds,
  judgeKinds,
  anyoneKinds,
  decisionKinds,
  standardKinds,
);

export const beltTest = vocabularyOf(allKinds);
export const { kinds: entryKinds, kindsThatAre } = beltTest;
export type EntryKind = keyof typeof allKinds;
/** The kinds of which something is so. */
export type KindThatIs<One extends (typeof allKinds)[EntryKind]["is"][number]> = {
  [Kind in EntryKind]: One extends (typeof allKinds)[Kind]["is"][number] ? Kind : never;
}[EntryKind];

/** The row of a kind, as whoever holds an entry of it reads it. */
export const rowOf = (kind: EntryKind): KindRow<never> =>
  allKinds[kind] as unknown as KindRow<never>;
