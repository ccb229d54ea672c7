import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { sectionOf } from "../rubric/lookup.ts";
import type { EntryOf } from "./entry.ts";
import type { Scorebook } from "./scorebook.ts";

/** A candidate who is not entered. */
export function refusalOfStranger(book: Scorebook, candidate: CandidateId): Fault | null {
  return book.plan.entrant(candidate) ? null : { code: "CANDIDATE_UNKNOWN", with: { candidate } };
}

/** Whoever is to mark has a seat. */
export const refusalOfUnseated = (book: Scorebook, person: PersonId): Fault | null =>
  book.plan.seat(person) ? null : { code: "NOT_SEATED" };

/** A lane is one entered candidate's, and each has one. */
export function refusalOfLanes(
  book: Scorebook,
  { body: { wave, lanes } }: EntryOf<"lined-up">,
): Fault | null {
  for (const [lane, candidate] of lanes.entries()) {
    const stranger = refusalOfStranger(book, candidate);
    if (stranger) return stranger;
    if (lanes.indexOf(candidate) !== lane) return { code: "LANE_OTHER", with: { candidate, wave } };
  }
  return null;
}

/** What is opened is a section of that candidate's rubric. @param at  logical time of the rubric */
export function refusalOfOpening(
  book: Scorebook,
  { body: { candidates, section } }: EntryOf<"revealed">,
  at: number,
): Fault | null {
  for (const candidate of candidates) {
    const fault =
      refusalOfStranger(book, candidate) ?? refusalOfSections(book, candidate, [section], at);
    if (fault) return fault;
  }
  return null;
}

/** Sections that the candidate's rubric has. */
export function refusalOfSections(
  book: Scorebook,
  candidate: CandidateId,
  sections: readonly SectionId[],
  at: number,
): Fault | null {
  const rubric = book.plan.rubricOf(candidate, at);
  const unknown = rubric && sections.find((section) => !sectionOf(rubric, section));
  return unknown === undefined || !rubric
    ? null
    : { code: "ITEM_UNKNOWN", with: { section: unknown, item: "", rubric: rubric.id } };
}

/** There is a sheet once there is a verdict, or the candidate has withdrawn. */
export function refusalOfRelease(
  book: Scorebook,
  { body: { candidate } }: EntryOf<"sheet-released">,
): Fault | null {
  const hasSheet =
    book.decisions.verdict(candidate) || book.floor.presence(candidate) === "withdrawn";
  return hasSheet ? null : { code: "VERDICT_MISSING", with: { candidate } };
}

/** What is corrected is in the book. */
export const refusalOfCorrection = (
  book: Scorebook,
  { body: { of } }: EntryOf<"correction">,
): Fault | null => (book.entry(of) ? null : { code: "NOTHING_TO_CORRECT" });
