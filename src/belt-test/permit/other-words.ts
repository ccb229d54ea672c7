import type { Fault } from "../../book/faults.ts";
import { orderedText } from "../../book/ordered-text.ts";
import type { Entry } from "../scorebook/entry.ts";
import type { Plan } from "../scorebook/plan.ts";
import { fold, type Scorebook } from "../scorebook/scorebook.ts";
import { type Asked, sinceSecondRules } from "./refusals.ts";
import { comesAgain } from "./writer.ts";

export const isClosed = ({ plan }: Scorebook): boolean => plan.isClosed;
/** Whether the plan is no draft any more: somebody may have been told what it says. */
export const hasBegun = ({ plan }: Scorebook): boolean => plan.isStarted || plan.isClosed;

/**
 * What the sheets say of the whole test is told to families, who are told of no other word. Whoever writes a logical time may choose it, so a line that comes late takes
 * no place of one that is here. The same words, the first ones, and what a hub had lost are taken.
 *
 * @param said  what stands, by lines of this kind alone; undefined while there is none
 * @param isTold  from when on
 */
export const saysNothingElse = (
  said: (plan: Plan) => unknown,
  isTold: (book: Scorebook) => boolean,
  fault: Fault,
) =>
  sinceSecondRules(({ book, writer }: Asked, entry: Entry): Fault | null => {
    const before = said(book.plan);
    if (before === undefined || !isTold(book) || comesAgain(book, writer, entry)) return null;
    const then = fold([...book.entries()].filter(({ kind }) => kind === entry.kind));
    then.add(entry);
    return orderedText(said(then.plan)) === orderedText(before) ? null : fault;
  });
