import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { Scorebook } from "./scorebook.ts";

/** Whether the marks are open there and this judge is none of those who made them: nobody is added then, since what they say would not be their own any more. */
export function isShutTo(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): boolean {
  if (book.plan.rules === 1 || book.openings.openedAt(candidate, section) === undefined)
    return false;
  return !book.panel.judgesOf(candidate, section).includes(book.panel.successor(judge));
}
