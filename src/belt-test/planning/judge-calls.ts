import type { PersonId } from "../../book/identity.ts";
import type { CandidateId } from "../identity.ts";
import type { EntryBody } from "../scorebook/entry.ts";
import { placeOf, watchedAt } from "../scorebook/judge-view.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { candidatesOf, type Undoable } from "../scorebook/undo.ts";
import { type Step, stepKey } from "../script/script.ts";

/** One board a judge fills: a step's cells, or (at the close of a section) the overall judgements. */
export interface JudgeCall {
  key: string;
  /** Where its step stands in the wave's script. */
  index: number;
  step: Step;
  part: "cells" | "overall";
  watched: readonly CandidateId[];
}

/**
 * The boards of one judge in one wave, in the order of the script. A close of section gives two where it has both
 * once-a-section criteria and overall judgements; steps where this judge watches nobody are kept, so that the judge can follow the call.
 */
export function judgeCalls(book: Scorebook, judge: PersonId, steps: readonly Step[]): JudgeCall[] {
  return steps.flatMap((step, index) => {
    const watched = watchedAt(book, judge, step);
    const key = stepKey(step);
    const cells: JudgeCall = { key, index, step, part: "cells", watched };
    if (step.item !== null) return [cells];
    const sections = watched.flatMap((candidate) => placeOf(book, candidate, step)?.section ?? []);
    const hasCells =
      step.marking === "checklist" || sections.some(({ onceASection }) => onceASection);
    const hasOverall = sections.some(({ overall }) => overall);
    const overall: JudgeCall = { key: `${key}#overall`, index, step, part: "overall", watched };
    return [...(hasCells || !hasOverall ? [cells] : []), ...(hasOverall ? [overall] : [])];
  });
}

/** Of these boards the one that a judge's word stands on; undefined of lanes, and of a child who is on none of them. */
export function boardOf(calls: readonly JudgeCall[], word: Undoable): JudgeCall | undefined {
  if (word.kind === "lanes-swapped") return undefined;
  const part = word.kind === "overall" ? "overall" : "cells";
  const { item = null, side = null, ...body } = word.body as Partial<EntryBody<"faults">>;
  return calls.find(
    ({ part: its, step, watched }) =>
      its === part &&
      step.section === body.section &&
      (step.item ?? (step.marking === "checklist" ? item : null)) === item &&
      step.markedSide === side &&
      candidatesOf(word).some((one) => watched.includes(one)),
  );
}

/** Two calls that fill the same cells: left and right of an item that is marked once for both. */
export const sameBoard = (a: JudgeCall, b: JudgeCall): boolean =>
  a.part === b.part &&
  a.step.section === b.step.section &&
  a.step.item === b.step.item &&
  a.step.markedSide === b.step.markedSide &&
  a.watched.join() === b.watched.join();
