import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import type { Rubric } from "../../belt-test/rubric/rubric.ts";
import { isScaleOf } from "../../belt-test/rubric/scale.ts";
import { assignedPlaces } from "../../belt-test/scorebook/assigned-places.ts";
import { isCallDone } from "../../belt-test/scorebook/call-done.ts";
import type { Place } from "../../belt-test/scorebook/cell.ts";
import { isReadOtherwise } from "../../belt-test/scorebook/rubric-replacement.ts";
import type { Step } from "../../belt-test/script/script.ts";
import type { PersonId } from "../../book/identity.ts";
import { callKey, coverageKey } from "../../line/coverage-key.ts";
import type { Coverage } from "../../line/protocol.ts";
import type { Notebook } from "./notebook.ts";

export type WorkState = Coverage["state"];

/**
 * How far a judge is with one child's section: from the book where it holds the marks (no hub, one's own, or opened),
 * else from what the hub tells while they are closed, which is never more than this.
 */
export function workState(
  { book, news }: Notebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): WorkState {
  if (book.openings.hasLocked(judge, candidate, section)) return "locked";
  const heard = news.coverage.get(coverageKey({ judge, candidate, section }));
  if (heard) return heard.state;
  const places = assignedPlaces(book, judge, candidate, section);
  const filled = places.filter((place) => book.marks.cell(judge, candidate, place)).length;
  return filled === 0 ? "nothing" : filled < places.length ? "begun" : "filled";
}

/** Whether what is marked of a child would mean something else by this rubric, as far as it is known: of what is closed only that something is. */
export const mayBeReadOtherwise = (
  { book, news }: Notebook,
  candidate: CandidateId,
  next: Rubric,
): boolean => {
  const now = book.plan.rubricOf(candidate);
  if (!now || isScaleOf(now, next)) return false;
  return (
    isReadOtherwise(book, candidate, next) ||
    [...news.coverage.values()].some(
      (heard) =>
        heard.candidate === candidate &&
        heard.state !== "nothing" &&
        !book.openings.isRevealed(candidate, heard.section),
    )
  );
};

/** Cells of which a judge said “not seen”: known, and to be asked about, once all of the child's section is filled. */
export function notSeenCells(
  notebook: Notebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): Place[] {
  const { book, news } = notebook;
  const state = workState(notebook, judge, candidate, section);
  if (state !== "filled" && state !== "locked") return [];
  const heard = news.coverage.get(coverageKey({ judge, candidate, section }));
  if (heard) return heard.notSeen.map((cell) => ({ section, ...cell }));
  return assignedPlaces(book, judge, candidate, section).filter(
    (place) => book.marks.cell(judge, candidate, place)?.level === "not-seen",
  );
}

/** Whether a judge is done with a call, for every child of theirs who is on the floor. */
export function isDoneWith(
  { book, news }: Notebook,
  judge: PersonId,
  wave: number,
  step: Step,
): boolean {
  const { section, item, markedSide: side, marking, candidates } = step;
  const alone = marking === "single" && item !== null ? (candidates[0] ?? null) : null;
  const heard = news.calls.get(callKey({ judge, wave, section, item, side, alone }));
  return heard ? heard.done : isCallDone(book, judge, step);
}
