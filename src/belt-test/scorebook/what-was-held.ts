import type { Basis } from "../../book/counts.ts";
import type { CandidateId } from "../identity.ts";
import { basisFor } from "./place-counts.ts";
import type { Scorebook } from "./scorebook.ts";
import { isIn } from "./seal.ts";

/** What this book holds that can speak of one child: on what a verdict rests. */
export function heldOf(book: Scorebook, candidate: CandidateId): Basis {
  const sections = book.plan.rubricOf(candidate)?.sections ?? [];
  return basisFor(
    book.basis,
    sections.map(({ id }) => ({ candidate, section: id })),
  );
}

/** What this book holds at its closing that no verdict in it says already: else the closing of a large test would be longer than its rubrics. */
export function heldBesideVerdicts(book: Scorebook): Basis {
  const said = ofVerdicts(book);
  return Object.fromEntries(
    Object.entries(book.basis).filter(
      ([count, n]) => !said.some((basis) => isIn(basis, { device: count, n })),
    ),
  ) as Basis;
}

/** What the chief says to have had when they decided, of whomever: one verdict, or the closing, need not say again what another says. */
export const hadByChief = (book: Scorebook): Basis[] => [
  ...ofVerdicts(book),
  ...(book.plan.closing?.body.basis ? [book.plan.closing.body.basis as Basis] : []),
];

const ofVerdicts = (book: Scorebook): Basis[] =>
  book.plan.entrants.flatMap(
    ({ candidate }) => book.decisions.verdict(candidate)?.body.basis ?? [],
  );
