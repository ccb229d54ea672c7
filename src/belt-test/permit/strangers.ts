import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { sectionOf } from "../rubric/lookup.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/** A candidate who is not entered. */
export function refusalOfStranger(book: Scorebook, candidate: CandidateId): Fault | null {
  return book.plan.entrant(candidate) ? null : { code: "CANDIDATE_UNKNOWN", with: { candidate } };
}

/** Whoever is to mark has a seat. */
export const refusalOfUnseated = (book: Scorebook, person: PersonId): Fault | null =>
  book.plan.seat(person) ? null : { code: "NOT_SEATED" };

/** By which rubric the child was tested at a moment. A line that says to be older than the child's entering is asked by what stands. @param at  logical time */
export const rubricAt = ({ plan }: Scorebook, candidate: CandidateId, at: number) =>
  plan.rubricOf(candidate, at) ?? plan.rubricOf(candidate);

/** Sections that the candidate's rubric does not have. @param at  logical time of the rubric */
export function refusalOfSections(
  book: Scorebook,
  candidate: CandidateId,
  sections: readonly SectionId[],
  at: number,
): Fault | null {
  const rubric = rubricAt(book, candidate, at);
  const unknown = rubric && sections.find((section) => !sectionOf(rubric, section));
  return unknown === undefined || !rubric
    ? null
    : { code: "ITEM_UNKNOWN", with: { section: unknown, item: "", rubric: rubric.id } };
}
