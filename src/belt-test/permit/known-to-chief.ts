import type { CandidateId } from "../identity.ts";
import type { AnyEntry } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";

/**
 * Whether the chief had this line before deciding of this child, or on the road before giving a place away: then it comes again, to a hub that was put back
 * from an older copy and heard the chief first. By count, of which each place is filled once.
 */
export const isKnownToChief = (book: Scorebook, entry: AnyEntry, candidate: CandidateId): boolean =>
  book.isSpokenOf(entry) ||
  [book.decisions.verdict(candidate)?.body.basis, book.plan.closing?.body.basis].some(
    (basis) => basis && isIn(basis, entry),
  );
