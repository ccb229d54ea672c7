import type { CandidateId, CriterionId } from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import type { Pen } from "../../../belt-test/scorebook/pen.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import { marksAtLanes } from "../../../belt-test/scorebook/stray-lanes.ts";
import { lanesOnceSwapped, swapOf } from "../../../belt-test/scorebook/swapped-lanes.ts";
import type { SwappedMarks } from "../../../belt-test/scorebook/swapped-marks.ts";
import type { AnyEntry } from "../../../book/entry.ts";
import type { PersonId } from "../../../book/identity.ts";
import type { JudgeHand } from "./judge-hand.ts";

export type Pair = [CandidateId, CandidateId];

/** What of a judge's marks stays where it is when two children are swapped: single criteria, all since one is locked, or not theirs, or all of this call. */
export type Stays = "locked" | "not-yours" | "call" | readonly CriterionId[];

interface SwapAt {
  book: Scorebook;
  judge: PersonId;
  call: JudgeCall;
  wave: number;
}

/** Two children stood in each other's place: their lanes change for everybody, and this judge's marks of this call go with them. One act, taken back as one. */
export function swapChildren(hand: JudgeHand, at: SwapAt, pair: Pair): void {
  const { section, item, side } = at.call.step;
  // The newest mark of this hand lies with the other child now.
  hand.last = undefined;
  hand.writeTogether(
    marksOf(at, pair)?.bodies ?? [],
    (batch) => (pen: Pen) =>
      pen.write("lanes-swapped", {
        wave: at.wave,
        ...swapOf(at.call.step.lanes ?? [], pair),
        call: { section, item, side },
        batch,
      }) as AnyEntry,
  );
}

/** Which of this judge's marks would not go along. */
export function staysAtSwap(at: SwapAt, pair: Pair): Stays {
  const { book, judge, call } = at;
  const { section } = call.step;
  const found = marksOf(at, pair);
  if (found) return found.isLocked ? "locked" : found.isOfOthers ? "not-yours" : found.stay;
  const isMarked = pair.some(
    (one) =>
      book.marks.overall(judge, one, section) !== null ||
      book.marks.of(one, "now").some((mark) => mark.judge === judge && mark.section === section),
  );
  return isMarked ? "call" : [];
}

/** Undefined where nothing is moved: a list, and what is said of a section as a whole, are written about more than this call. */
function marksOf({ book, judge, call, wave }: SwapAt, pair: Pair): SwappedMarks | undefined {
  const { part, step } = call;
  if (part === "overall" || step.marking === "checklist" || !step.lanes) return undefined;
  return marksAtLanes(book, judge, wave, step, lanesOnceSwapped(step.lanes, pair));
}
