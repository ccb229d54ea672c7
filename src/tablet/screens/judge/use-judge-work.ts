import { useDeferredValue, useMemo } from "react";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import type { EntryOf } from "../../../belt-test/scorebook/entry.ts";
import {
  blankCells,
  missingOveralls,
  type SectionWork,
  unansweredAsks,
  workOf,
} from "../../../belt-test/scorebook/judge-view.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import type { Step } from "../../../belt-test/script/script.ts";
import type { PersonId } from "../../../book/identity.ts";
import type { Notebook } from "../../session/notebook.ts";
import { isPlaceLocked } from "../../session/place-locked.ts";

export interface JudgeWork {
  /** Calls gone by with blanks in them that somebody waits for, and how many blanks. */
  open: readonly JudgeCall[];
  openBlanks: number;
  sections: readonly SectionWork[];
  /** Sections in which everything is marked and nothing locked yet. */
  lockable: readonly SectionWork[];
  /** What the chief asked this judge to look at again, and no mark has answered yet. */
  asks: readonly EntryOf<"remark-asked">[];
  /** Places where two tablets of this judge disagree. */
  conflicts: number;
}

/** Cells (or overall judgements) of a call that are still blank; 0 where nothing is asked yet. */
export function blanksOf(book: Scorebook, judge: PersonId, call: JudgeCall): number {
  if (!call.step.asked) return 0;
  return call.part === "overall"
    ? missingOveralls(book, judge, call.step).length
    : blankCells(book, judge, call.step).length;
}

interface WorkInput {
  notebook: Notebook;
  judge: PersonId;
  steps: readonly Step[];
  calls: readonly JudgeCall[];
  /** Index of the furthest step called or opened. */
  reached: number;
  shown: JudgeCall | undefined;
}

/** What is left to do besides the board. It may lag behind the board for a moment: a tap never waits for it. */
export function useJudgeWork(input: WorkInput): JudgeWork {
  const { notebook, judge, steps, calls, reached, shown } = input;
  const { book } = notebook;
  const version = useDeferredValue(book.version);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book changes in place; its version says when
  return useMemo(() => {
    // Where the marks were opened without this judge nobody waits for theirs.
    const isOver = ({ watched, step: { section } }: JudgeCall) =>
      watched.every(
        (one) =>
          book.openings.hasLocked(judge, one, section) || book.openings.isRevealed(one, section),
      );
    const open = calls
      .filter((call) => call.index < reached && call.key !== shown?.key && !isOver(call))
      .map((call) => ({ call, blank: blanksOf(book, judge, call) }))
      .filter(({ blank }) => blank > 0);
    const sections = workOf(book, judge, steps).map((work) => ({
      ...work,
      unlocked: work.unlocked.filter((one) => !isPlaceLocked(notebook, one, work.section)),
    }));
    const watched = new Set(calls.flatMap((call) => call.watched));
    return {
      open: open.map(({ call }) => call),
      openBlanks: open.reduce((sum, { blank }) => sum + blank, 0),
      sections,
      lockable: sections.filter(
        ({ unlocked, blank, overallsMissing }) =>
          unlocked.length > 0 && blank === 0 && overallsMissing === 0,
      ),
      asks: unansweredAsks(book, judge),
      conflicts: [...watched].reduce(
        (sum, candidate) =>
          sum +
          book.marks
            .conflicts(candidate)
            // Where they have locked no tap settles it: the chief is asked.
            .filter((one) => one.judge === judge)
            .filter(({ place }) => !book.openings.hasLocked(judge, candidate, place.section))
            .length,
        0,
      ),
    };
  }, [version, calls, reached, shown?.key]);
}
