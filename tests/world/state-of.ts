import { createHash } from "node:crypto";
import type { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";

const inOrder = (list: readonly unknown[]): string[] =>
  list.map((one) => JSON.stringify(one)).sort();

/** One figure for everything a book says, whatever the order it was read in. */
export function stateHash(book: Scorebook): string {
  const candidates = book.entrants.map(({ candidate, number, rubric }) => {
    return {
      entrant: [candidate, number, rubric],
      presence: book.presence(candidate),
      marks: (["now", "lock", "verdict"] as const).map((as) => inOrder(book.marks(candidate, as))),
      overalls: inOrder(book.overalls(candidate)),
      faults: inOrder(book.faultsOf(candidate)),
      notes: book.notes(candidate).map(({ id }) => id),
      conflicts: inOrder(book.conflicts(candidate)),
      opened: book.rubrics.flatMap(({ sections }) =>
        sections.map(({ id }) => book.openedAt(candidate, id) ?? null),
      ),
      late: inOrder(book.lateMarks(candidate)),
      settled: inOrder(book.settlements(candidate).map(({ id }) => id)),
      verdict: book.verdict(candidate)?.id ?? null,
      released: book.release(candidate)?.id ?? null,
    };
  });
  const whole = {
    candidates,
    entries: [...book.entries()].map(({ id }) => id).sort(),
    opened: book.opened ?? null,
    isStarted: book.isStarted,
    closing: book.closing?.id ?? null,
    seats: inOrder(book.seats.map(({ person, roles }) => [person, roles])),
    waves: book.waves,
    assigned: inOrder(book.assignments),
    calls: book.calls.map(({ id }) => id),
    isPaused: book.isPaused,
    stop: book.stop ?? null,
    incidents: book.incidents.map(({ id }) => id),
    erased: [...book.erased].sort(),
    basis: inOrder(Object.entries(book.basis)),
  };
  return createHash("sha256").update(JSON.stringify(whole)).digest("hex");
}
