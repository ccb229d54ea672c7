import type { CandidateId } from "../../belt-test/identity.ts";
import { candidateDetails as detailsOf } from "../../belt-test/scorebook/candidate-details.ts";
import { type CandidateDetails, PersonDetails } from "../../belt-test/scorebook/side-bodies.ts";
import type { PersonId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { Notebook } from "./notebook.ts";

/** Records are read once: names are asked for with every tap. */
const candidates = new WeakMap<
  SideRecord,
  { other: SideRecord | undefined; read: CandidateDetails | undefined }
>();
const persons = new WeakMap<SideRecord, { name: string } | undefined>();

/** Names as this device knows them; they may be erased, or not sent to this role: then there is only a number. */
export function candidateDetails(
  { book, sides }: Notebook,
  candidate: CandidateId,
): CandidateDetails | undefined {
  const entrant = book.plan.entrant(candidate);
  const [first, other] = [entrant?.given, entrant?.details].flatMap(
    (ref) => (ref && sides.get(ref.id)) ?? [],
  );
  if (!entrant || !first) return undefined;
  const known = candidates.get(first);
  if (known && known.other === other) return known.read;
  const read = detailsOf(entrant, (id) => sides.get(id));
  candidates.set(first, { other, read });
  return read;
}

export const givenName = (notebook: Notebook, candidate: CandidateId): string =>
  candidateDetails(notebook, candidate)?.given ?? "";

export function personName({ book, sides }: Notebook, person: PersonId): string | undefined {
  const ref = book.plan.seat(person)?.details;
  const record = ref && sides.get(ref.id);
  if (!record) return undefined;
  if (!persons.has(record)) persons.set(record, PersonDetails.safeParse(record.body).data);
  return persons.get(record)?.name;
}
