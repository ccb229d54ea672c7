import { type MissedCalls, missedCalls } from "../../belt-test/planning/missed-calls.ts";
import type { Notebook } from "./notebook.ts";
import { isDoneWith } from "./work-state.ts";

/** Calls of a wave that a child who is here was not here for, and of which not every judge of that child is done: called again, or marked as not seen, they are none any more. */
export function notShown(notebook: Notebook, wave: number): MissedCalls[] {
  const { book } = notebook;
  return missedCalls(book, wave).flatMap(({ candidate, steps }) => {
    const open = steps.filter((step) =>
      book.panel
        .judgesOf(candidate, step.section)
        .some((judge) => !isDoneWith(notebook, judge, wave, step)),
    );
    return open.length > 0 ? [{ candidate, steps: open }] : [];
  });
}
