import type { CandidateId, PersonId } from "../../core/identity.ts";
import type { TextRef } from "../../core/scorebook/entry.ts";
import {
  CandidateDetails,
  PersonDetails,
  type SideRecord,
} from "../../core/scorebook/side-record.ts";
import type { Notebook } from "./notebook.ts";

/** Each record is read once: names are asked for with every tap. */
const candidates = new WeakMap<SideRecord, CandidateDetails | undefined>();
const persons = new WeakMap<SideRecord, PersonDetails | undefined>();

function readOnce<T>(
  known: WeakMap<SideRecord, T | undefined>,
  schema: { safeParse: (body: unknown) => { success: boolean; data?: T } },
  { sides }: Notebook,
  ref: TextRef | undefined,
): T | undefined {
  const record = ref && sides.get(ref.id);
  if (!record) return undefined;
  if (!known.has(record)) {
    const read = schema.safeParse(record.body);
    known.set(record, read.success ? read.data : undefined);
  }
  return known.get(record);
}

/** Names as this device knows them; they may be erased, or not sent to this role: then there is only a number. */
export const candidateDetails = (
  notebook: Notebook,
  candidate: CandidateId,
): CandidateDetails | undefined =>
  readOnce(candidates, CandidateDetails, notebook, notebook.book.entrant(candidate)?.details);

export const givenName = (notebook: Notebook, candidate: CandidateId): string =>
  candidateDetails(notebook, candidate)?.given ?? "";

export const personName = (notebook: Notebook, person: PersonId): string | undefined =>
  readOnce(persons, PersonDetails, notebook, notebook.book.seat(person)?.details)?.name;
