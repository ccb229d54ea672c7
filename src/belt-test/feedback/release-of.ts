import type { CandidateId } from "../identity.ts";
import type { EntryBody } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/** That a sheet goes out now: with the verdict that stands, so that another one asks for another release. */
export const releaseOf = (
  book: Scorebook,
  candidate: CandidateId,
): EntryBody<"sheet-released"> => ({
  candidate,
  of: book.decisions.verdict(candidate)?.id ?? null,
});
