import type { CandidateId, SectionId } from "../../../belt-test/identity.ts";
import { isShutTo } from "../../../belt-test/scorebook/is-shut-to.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import type { PersonId } from "../../../book/identity.ts";

/**
 * In how many of a candidate's sections a judge watches, of those where this judge may, in their own place or in one that was given them; `section` narrows the question to one.
 * `isFixed`: some of it was assigned without naming a wave, so no stroke on a wave takes it off.
 * `isOpen`: the marks are open in all of them, so nobody is added or taken off.
 */
export function watchOf(
  book: Scorebook,
  {
    judge,
    wave,
    candidate,
    section,
  }: { judge: PersonId; wave: number; candidate: CandidateId; section: SectionId | undefined },
): { on: number; of: number; isFixed: boolean; isOpen: boolean } {
  const sections = (book.plan.rubricOf(candidate)?.sections ?? [])
    .map(({ id }) => id)
    .filter((id) => section === undefined || id === section)
    .filter((id) => !isShutTo(book, judge, candidate, id));
  const lines = book.panel.assignments.filter(
    (one) => book.panel.successor(one.judge) === judge && one.candidates.includes(candidate),
  );
  return {
    on: sections.filter((id) => lines.some((line) => line.section === id)).length,
    of: sections.length,
    isOpen:
      book.plan.rules > 1 &&
      sections.length > 0 &&
      sections.every((id) => book.openings.openedAt(candidate, id) !== undefined),
    isFixed: lines.some((line) => line.wave !== wave && sections.includes(line.section)),
  };
}
