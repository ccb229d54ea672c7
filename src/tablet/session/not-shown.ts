import { type MissedCalls, missedCalls } from "../../belt-test/planning/missed-calls.ts";
import type { Step } from "../../belt-test/script/script.ts";
import type { PersonId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";
import { isDoneWith, workState } from "./work-state.ts";

/** Calls of a wave that a child who is here was not here for, and of which not every judge of that child is done: called again, or marked as not seen, they are none any more. */
export function notShown(notebook: Notebook, wave: number): MissedCalls[] {
  const { book } = notebook;
  return missedCalls(book, wave).flatMap((missed) => {
    const { candidate } = missed;
    // A judge may have another's blank in the same call, and this child's section whole.
    const isFilled = (judge: PersonId, { section }: Step) =>
      ["filled", "locked"].includes(workState(notebook, judge, candidate, section));
    const steps = missed.steps.filter((step) =>
      book.panel
        .judgesOf(candidate, step.section)
        .some((judge) => !isDoneWith(notebook, judge, wave, step) && !isFilled(judge, step)),
    );
    return steps.length > 0 ? [{ ...missed, steps }] : [];
  });
}
