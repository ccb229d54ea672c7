import type { PersonId } from "../../book/identity.ts";
import { listOf } from "../../book/keyed.ts";
import type { CandidateId } from "../identity.ts";
import { scaleKey } from "../rubric/scale.ts";
import type { EntryBody } from "../scorebook/entry.ts";
import { placeOf, watchedAt } from "../scorebook/judge-view.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { candidatesOf, type Undoable } from "../scorebook/undo.ts";
import { markedAlike, type Step, stepKey } from "../script/script.ts";

/** One board a judge fills: a step's cells, or (at the close of a section) the overall judgements. */
export interface JudgeCall {
  key: string;
  /** Where its step stands in the wave's script. */
  index: number;
  /** Of the children on this board alone, who are marked alike; where nobody is watched, as it is called. */
  step: Step;
  part: "cells" | "overall";
  watched: readonly CandidateId[];
  /** Whom this judge watches at the step, on this board and beside it. */
  all: readonly CandidateId[];
}

/**
 * The boards of one judge in one wave, in the order of the script. No board holds children whose marks are kept or read otherwise: a step of
 * several scales, or of items that are marked by sides for some, gives a board for each. A close of section gives two where it has both
 * once-a-section criteria and overall judgements, which have a scale of their own; steps where this judge watches nobody are kept, so that the judge
 * can follow the call.
 */
export function judgeCalls(book: Scorebook, judge: PersonId, steps: readonly Step[]): JudgeCall[] {
  return steps.flatMap((step, index) => {
    const all = watchedAt(book, judge, step);
    const key = stepKey(step);
    const sectionsOf = (whom: readonly CandidateId[]) =>
      whom.flatMap((candidate) => placeOf(book, candidate, step)?.section ?? []);
    const overall: JudgeCall = {
      key: `${key}#overall`,
      index,
      step,
      part: "overall",
      watched: all,
      all,
    };
    const hasOverall = step.item === null && sectionsOf(all).some((section) => section.overall);
    // Of whom nothing is asked yet comes last.
    const parts = markedAlike({ ...step, candidates: all })
      .sort((a, b) => Number(b.asked) - Number(a.asked))
      .flatMap((part) => readAlike(book, part));
    const cells = parts
      .filter(
        ({ item, marking, candidates }) =>
          item !== null ||
          marking === "checklist" ||
          sectionsOf(candidates).some(({ onceASection }) => onceASection),
      )
      .map(
        (part, _, { length }): JudgeCall => ({
          key: length > 1 ? `${key}#${wayOf(book, part)}` : key,
          index,
          step: part,
          part: "cells",
          watched: part.candidates,
          all,
        }),
      );
    if (cells.length + Number(hasOverall) === 0)
      return [{ key, index, step, part: "cells" as const, watched: all, all }];
    return hasOverall ? [...cells, overall] : cells;
  });
}

/** A step apart by the scales of its children's rubrics; a list has one of its own. */
function readAlike(book: Scorebook, step: Step): Step[] {
  if (step.marking === "checklist") return [step];
  const apart = new Map<string, CandidateId[]>();
  for (const one of step.candidates) listOf(apart, glassOf(book, one)).push(one);
  return [...apart.values()].map((candidates) => ({ ...step, candidates }));
}

/** By which words of levels a child is marked. */
const glassOf = (book: Scorebook, candidate: CandidateId): string => {
  const rubric = book.plan.rubricOf(candidate);
  return rubric ? scaleKey(rubric) : "";
};

/** The same whoever stands where: a board keeps its key when lanes change. */
const wayOf = (book: Scorebook, { markedSide, marking, candidates: [first] }: Step): string =>
  `${markedSide} ${marking} ${first && glassOf(book, first)}`;

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
