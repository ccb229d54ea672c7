import type { PersonId } from "../../book/identity.ts";
import type { CandidateId } from "../identity.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isStruck } from "./question-keys.ts";

/**
 * The judges who declared this candidate an own student and whose marks still count: certainty supposes that they marked like the others, and no mark can show whether they did.
 *
 * @returns in the order of their first mark in an open section; empty where nobody declared it, nothing is open, or the chief struck all they marked.
 */
export function ownJudges(book: Scorebook, candidate: CandidateId): PersonId[] {
  const settlements = book.decisions.settlements(candidate).map(({ body }) => body);
  const counting = book.marks
    .of(candidate, "lock")
    .filter(
      (mark) => book.openings.isRevealed(candidate, mark.section) && !isStruck(mark, settlements),
    );
  return [...new Set(counting.map(({ judge }) => judge))].filter(
    (judge) => book.panel.relation(judge, candidate) === "own-student",
  );
}
