import { CandidateDetails, PersonDetails } from "./side-record.ts";

/** The name that a side record's body gives somebody, the whole of it; empty for a text. */
export function nameIn(body: unknown): string {
  const candidate = CandidateDetails.safeParse(body);
  if (candidate.success)
    return [candidate.data.given, candidate.data.family].filter(Boolean).join(" ");
  const person = PersonDetails.safeParse(body);
  return person.success ? person.data.name : "";
}
