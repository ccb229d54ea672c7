import type { CandidateId } from "../identity.ts";
import type { Mark } from "../scorebook/cell.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/** The marks of a candidate that stood at lock, in sections that are open: by these a panel is known, whatever was marked again since. None where no rubric is known. */
export function lockedMarks(book: Scorebook, candidate: CandidateId): readonly Mark[] {
  const sections = book.plan.rubricOf(candidate)?.sections ?? [];
  const open = new Set(
    sections.flatMap(({ id }) => (book.openings.isRevealed(candidate, id) ? [id] : [])),
  );
  return open.size === 0
    ? []
    : book.marks.of(candidate, "lock").filter(({ section }) => open.has(section));
}
