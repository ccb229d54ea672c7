import type { CandidateId } from "../../belt-test/identity.ts";
import { type MissedCalls, missedCalls } from "../../belt-test/planning/missed-calls.ts";
import { type Step, stepKey } from "../../belt-test/script/script.ts";
import type { PersonId } from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";
import type { Notebook } from "./notebook.ts";
import { isDoneWith, workState } from "./work-state.ts";

/** Children who were missing in the same way, from the same calls. */
export interface NotShown extends Pick<MissedCalls, "steps" | "was"> {
  candidates: CandidateId[];
}

/**
 * Calls of a wave that children who are here were not here for, and of which not every judge of theirs is done: called again, or marked as not seen, they are
 * none any more. Whoever missed the same is named together.
 */
export function notShown(notebook: Notebook, wave: number): NotShown[] {
  const found = new Map<string, NotShown>();
  for (const { candidate, steps, was } of openCalls(notebook, wave)) {
    const same = `${was} ${steps.map(stepKey).join(" ")}`;
    keyed(found, same, (): NotShown => ({ candidates: [], steps, was })).candidates.push(candidate);
  }
  return [...found.values()];
}

function openCalls(notebook: Notebook, wave: number): MissedCalls[] {
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
