import { createHash } from "node:crypto";
import type { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";

const inOrder = (list: readonly unknown[]): string[] =>
  list.map((one) => JSON.stringify(one)).sort();

/** One figure for everything a book says, whatever the order it was read in. */
export function stateHash(book: Scorebook): string {
  const candidates = book.plan.entrants.map(({ candidate, number, rubric }) => {
    return {
      entrant: [candidate, number, rubric],
      presence: book.floor.presence(candidate),
      marks: (["now", "lock", "verdict"] as const).map((as) =>
        inOrder(book.marks.of(candidate, as)),
      ),
      overalls: inOrder(book.marks.overalls(candidate)),
      faults: inOrder(book.marks.faultsOf(candidate)),
      notes: book.marks.notes(candidate).map(({ id }) => id),
      conflicts: inOrder(book.marks.conflicts(candidate)),
      opened: book.plan.rubrics.flatMap(({ sections }) =>
        sections.map(({ id }) => book.openings.openedAt(candidate, id) ?? null),
      ),
      late: inOrder(book.marks.late(candidate)),
      settled: inOrder(book.decisions.settlements(candidate).map(({ id }) => id)),
      verdict: book.decisions.verdict(candidate)?.id ?? null,
      released: book.decisions.release(candidate)?.id ?? null,
    };
  });
  const whole = {
    candidates,
    entries: [...book.entries()].map(({ id }) => id).sort(),
    opened: book.plan.opened ?? null,
    isStarted: book.plan.isStarted,
    closing: book.plan.closing?.id ?? null,
    seats: inOrder(book.plan.seats.map(({ person, roles }) => [person, roles])),
    waves: book.plan.waves,
    assigned: inOrder(book.panel.assignments),
    calls: book.floor.calls.map(({ id }) => id),
    isPaused: book.floor.isPaused,
    stop: book.floor.stop ?? null,
    stops: book.floor.stops.map(({ id }) => id),
    incidents: book.floor.incidents.map(({ id }) => id),
    erased: [...book.erased].sort(),
    basis: inOrder(Object.entries(book.basis)),
  };
  return createHash("sha256").update(JSON.stringify(whole)).digest("hex");
}
