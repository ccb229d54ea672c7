import type { CandidateId } from "../identity.ts";

/** How often something was written about each candidate. */
export class CandidateVersions {
  readonly #of = new Map<CandidateId, number>();

  touch(candidate: CandidateId): void {
    this.#of.set(candidate, this.of(candidate) + 1);
  }
  /** 0 for a stranger. */
  of(candidate: CandidateId): number {
    return this.#of.get(candidate) ?? 0;
  }
}
