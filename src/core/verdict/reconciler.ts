import type { CandidateId } from "../identity.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { caseOf } from "./case-of.ts";
import type { Outcome } from "./outcome.ts";
import { outcome } from "./outcome-of.ts";

/**
 * The outcomes of a test that goes on: asks the scorebook anew only for candidates something was written of since the last time.
 * Always the same answer as reconciling everybody afresh; an outcome nothing happened to is the very same object.
 */
export class Reconciler {
  readonly #book: Scorebook;
  readonly #known = new Map<CandidateId, { plan: number; version: number; outcome: Outcome }>();

  constructor(book: Scorebook) {
    this.#book = book;
  }

  /** @returns undefined for somebody who is not entered, or whose rubric has not arrived yet. */
  outcome(candidate: CandidateId): Outcome | undefined {
    const plan = this.#book.planVersion;
    const version = this.#book.candidateVersion(candidate);
    const known = this.#known.get(candidate);
    if (known && known.plan === plan && known.version === version) return known.outcome;
    if (!this.#book.rubricOf(candidate)) return undefined;
    const now = outcome(caseOf(this.#book, candidate));
    this.#known.set(candidate, { plan, version, outcome: now });
    return now;
  }

  /** Everybody entered, by number. */
  outcomes(): Outcome[] {
    return this.#book.entrants.flatMap(({ candidate }) => this.outcome(candidate) ?? []);
  }
}
