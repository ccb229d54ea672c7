import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { hasHadPlace } from "../scorebook/places-ever.ts";
import type { Asked } from "./refusals.ts";
import { refusalOfStranger } from "./strangers.ts";

/** Whoever is not to mark this candidate there, by the plan of then. */
export function refusalOfJudging(
  { book, at }: Asked,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): Fault | null {
  const stranger = refusalOfStranger(book, candidate);
  if (stranger) return stranger;
  if (book.panel.isRecused(judge, candidate, section, at))
    return { code: "RECUSED", with: { candidate } };
  if (!book.panel.judgesOf(candidate, section, at).includes(judge))
    return { code: "NOT_ASSIGNED", with: { candidate, section } };
  return null;
}

/**
 * The same of what is written of a child, but for a lock: whoever once had the place may have gone on without having heard that it was given to another.
 * Lateness is no ground for refusal; what was held of them then is final, and the rest is shown as late.
 */
export function refusalOfMarking(
  asked: Asked,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): Fault | null {
  const { panel, plan } = asked.book;
  const fault = refusalOfJudging(asked, judge, candidate, section);
  const isLate = fault?.code === "NOT_ASSIGNED" && plan.rules > 1;
  return isLate && hasHadPlace(panel, judge, candidate, section) ? null : fault;
}

/** What is written of one child never waits for another's. */
export const refusalOfSeveral = (candidates: readonly CandidateId[]): Fault | null =>
  new Set(candidates).size > 1 ? { code: "ONE_CANDIDATE" } : null;
