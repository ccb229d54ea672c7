import type { CandidateId, PersonId, SectionId } from "../../../core/identity.ts";
import type { Step } from "../../../core/planning/script.ts";
import type { Place } from "../../../core/scorebook/cell.ts";
import { isAway } from "../../../core/scorebook/presence.ts";
import type { Scorebook } from "../../../core/scorebook/scorebook.ts";
import type { Notebook } from "../../session/notebook.ts";
import { coverageKey } from "../../session/uplink.ts";
import { placesAt } from "./plan-known.ts";

/** How much of what is asked has been said; never which level. */
export interface Tally {
  asked: number;
  /** Marked, or said to be not seen. */
  filled: number;
  blank: readonly Place[];
}

/**
 * Whether a judge has said something of a cell. From the book where it holds the mark (no hub, or marks open),
 * from the hub's coverage where the mark itself is still closed.
 */
function isFilled(
  { book, news }: Notebook,
  judge: PersonId,
  candidate: CandidateId,
  place: Place,
): boolean {
  if (book.cell(judge, candidate, place)) return true;
  const heard = news.coverage.get(coverageKey({ judge, candidate, ...place }));
  return (
    heard !== undefined &&
    (heard.marked.includes(place.criterion) || heard.notSeen.includes(place.criterion))
  );
}

/** One judge's work on one candidate in one section; at one step of it when `step` is given. */
export function tallyOf(
  notebook: Notebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
  step?: Pick<Step, "item" | "markedSide" | "marking">,
): Tally {
  const places = placesAt(notebook.book, judge, candidate, section).filter(
    ({ item, side }) =>
      !step || step.marking === "checklist" || (item === step.item && side === step.markedSide),
  );
  const blank = places.filter((place) => !isFilled(notebook, judge, candidate, place));
  return { asked: places.length, filled: places.length - blank.length, blank };
}

export function summed(tallies: Iterable<Tally>): Tally {
  let [asked, filled] = [0, 0];
  const blank: Place[] = [];
  for (const tally of tallies) {
    asked += tally.asked;
    filled += tally.filled;
    blank.push(...tally.blank);
  }
  return { asked, filled, blank };
}

/** How much of a section is in for one candidate, by all judges. */
export const sectionTally = (
  notebook: Notebook,
  candidate: CandidateId,
  section: SectionId,
): Tally =>
  summed(
    notebook.book
      .judgesOf(candidate, section)
      .map((judge) => tallyOf(notebook, judge, candidate, section)),
  );

/** Judges who have not locked this section for this candidate yet. */
export const waitsFor = (book: Scorebook, candidate: CandidateId, section: SectionId): PersonId[] =>
  book.judgesOf(candidate, section).filter((judge) => !book.hasLocked(judge, candidate, section));

/** Whether the candidate takes part, as far as is known: nothing is asked about somebody who does not. */
export const isHere = (book: Scorebook, candidate: CandidateId): boolean =>
  !isAway(book.presence(candidate));

/** All marks of one step, by every judge who watches somebody there. */
export const stepTally = (notebook: Notebook, step: Step): Tally =>
  step.asked
    ? summed(
        step.candidates.flatMap((candidate) =>
          notebook.book
            .judgesOf(candidate, step.section)
            .map((judge) => tallyOf(notebook, judge, candidate, step.section, step)),
        ),
      )
    : { asked: 0, filled: 0, blank: [] };
