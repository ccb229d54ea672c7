import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import type { Step } from "../../belt-test/script/script.ts";
import type { PersonId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";
import { isDoneWith, type WorkState, workState } from "./work-state.ts";

/** Of how many judges, or sections, something is asked, and how many are done; before the reveal nothing finer is told. */
export interface Tally {
  asked: number;
  filled: number;
}

const isFilled = (state: WorkState): boolean => state === "filled" || state === "locked";

/** Judges who have marked all of a section for one candidate. */
export function sectionTally(
  notebook: Notebook,
  candidate: CandidateId,
  section: SectionId,
): Tally {
  const judges = notebook.book.panel.judgesOf(candidate, section);
  const done = judges.filter((judge) => isFilled(workState(notebook, judge, candidate, section)));
  return { asked: judges.length, filled: done.length };
}

/** Of what one judge is to mark of these candidates: sections that are filled, child by child. */
export function judgeTally(
  notebook: Notebook,
  judge: PersonId,
  candidates: readonly CandidateId[],
): Tally {
  const { book } = notebook;
  const states = candidates.flatMap((candidate) =>
    (book.plan.rubricOf(candidate)?.sections ?? [])
      .filter(({ id }) => book.panel.judgesOf(candidate, id).includes(judge))
      .map(({ id }) => workState(notebook, judge, candidate, id)),
  );
  return { asked: states.length, filled: states.filter(isFilled).length };
}

/** Sections of which one judge has marked all for somebody of these candidates, and not locked it. */
export function sectionsToLock(
  notebook: Notebook,
  judge: PersonId,
  candidates: readonly CandidateId[],
): SectionId[] {
  const { book } = notebook;
  const marked = candidates.flatMap((candidate) =>
    (book.plan.rubricOf(candidate)?.sections ?? [])
      .map(({ id }) => id)
      .filter(
        (id) =>
          book.panel.judgesOf(candidate, id).includes(judge) &&
          workState(notebook, judge, candidate, id) === "filled",
      ),
  );
  return [...new Set(marked)];
}

/** Judges who have not locked this section for this candidate yet. */
export const waitsFor = (
  notebook: Notebook,
  candidate: CandidateId,
  section: SectionId,
): PersonId[] =>
  notebook.book.panel
    .judgesOf(candidate, section)
    .filter((judge) => workState(notebook, judge, candidate, section) !== "locked");

/** Who watches somebody at a step, and who of them is not done with it. */
export function stepJudges(
  notebook: Notebook,
  wave: number,
  step: Step,
): { all: PersonId[]; behind: PersonId[] } {
  if (!step.asked) return { all: [], behind: [] };
  const all = [
    ...new Set(
      step.candidates.flatMap((candidate) => notebook.book.panel.judgesOf(candidate, step.section)),
    ),
  ];
  return { all, behind: all.filter((judge) => !isDoneWith(notebook, judge, wave, step)) };
}
