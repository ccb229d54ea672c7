import type { Fault } from "../../book/faults.ts";
import type { EntryKind } from "../kinds/all-kinds.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import type { Writer } from "./writer.ts";

/** Into which book, by whom, and by the plan of which logical time an entry is written. */
export interface Asked {
  book: Scorebook;
  writer: Writer;
  at: number;
}
type Refusal<Kind extends EntryKind> = (asked: Asked, entry: EntryOf<Kind>) => Fault | null;

/** What refuses an entry of each kind, beside who may write it. Every file says it of the kinds of the file of its name in `kinds/`. */
export type RefusalsOf<Kinds> = {
  readonly [Kind in keyof Kinds & EntryKind]: Refusal<Kind>;
};

/** Whoever may write it may write anything in it. */
export const nothing = (): null => null;

/** Asked of books by the second rules and later alone: one by the first goes on as it was begun. */
export const sinceSecondRules =
  <Entry>(refusal: (asked: Asked, entry: Entry) => Fault | null) =>
  (asked: Asked, entry: Entry): Fault | null =>
    asked.book.plan.rules === 1 ? null : refusal(asked, entry);
