import type { CandidateId, PersonId } from "../../core/identity.ts";
import { CandidateDetails, PersonDetails } from "../../core/scorebook/side-record.ts";
import type { Notebook } from "./notebook.ts";

/** Names as this device knows them; they may be erased, or not sent to this role: then there is only a number. */
export function candidateDetails(
  { book, sides }: Notebook,
  candidate: CandidateId,
): CandidateDetails | undefined {
  const ref = book.entrant(candidate)?.details;
  const read = CandidateDetails.safeParse(ref && sides.get(ref.id)?.body);
  return read.success ? read.data : undefined;
}

export const givenName = (notebook: Notebook, candidate: CandidateId): string =>
  candidateDetails(notebook, candidate)?.given ?? "";

export function personName({ book, sides }: Notebook, person: PersonId): string | undefined {
  const ref = book.seat(person)?.details;
  const read = PersonDetails.safeParse(ref && sides.get(ref.id)?.body);
  return read.success ? read.data.name : undefined;
}
