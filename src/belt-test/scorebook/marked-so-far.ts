import { NOW } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { Scorebook } from "./scorebook.ts";

/** Whether there may be marks of a child, as far as this book tells: the desk is sent no marks, and knows only what was called. */
export function mayBeMarked(book: Scorebook, candidate: CandidateId): boolean {
  return (
    firstCallOf(book, candidate) !== undefined ||
    book.decisions.verdict(candidate) !== undefined ||
    book.decisions.release(candidate) !== undefined ||
    book.marks.of(candidate, "now").length > 0
  );
}

/** Whether the test of a child is over: a verdict was issued, or every section is open. @param at  logical time: whether it was so then */
export function isMarkedToTheEnd(book: Scorebook, candidate: CandidateId, at = NOW): boolean {
  const verdict = book.decisions.verdict(candidate);
  if (verdict && verdict.lamport <= at) return true;
  const sections = book.plan.rubricOf(candidate)?.sections ?? [];
  return (
    sections.length > 0 && sections.every(({ id }) => book.openings.isRevealed(candidate, id, at))
  );
}

/** Logical time of the first call of anything with this child on the floor. */
export function firstCallOf(book: Scorebook, candidate: CandidateId): number | undefined {
  return book.floor.calls.find(
    ({ body: { wave, candidates } }) =>
      book.plan.inWave(wave).includes(candidate) && (!candidates || candidates.includes(candidate)),
  )?.lamport;
}

/** Children who were said to be away after they had been called, by whom and when: each may be a slip that takes a result away. */
export function saidAwayLate(
  book: Scorebook,
): { candidate: CandidateId; by: string; atMs: number }[] {
  return book.plan.entrants.flatMap(({ candidate }) => {
    const said = book.floor.presenceSaid(candidate);
    if (said?.kind !== "absent" && said?.kind !== "unfit") return [];
    const called = firstCallOf(book, candidate);
    if (called === undefined || said.lamport < called) return [];
    return [{ candidate, by: said.by, atMs: said.at }];
  });
}
