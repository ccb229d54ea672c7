import type { CandidateId, PersonId, SectionId } from "../../../core/identity.ts";
import { assignedPlaces } from "../../../core/scorebook/assigned-places.ts";
import type { Place } from "../../../core/scorebook/cell.ts";
import type { Scorebook } from "../../../core/scorebook/scorebook.ts";

/** What follows from the plan alone, found once: a board asks a thousand times a second, and the plan stands still while marks come. */
interface Known {
  plan: number;
  places: Map<string, readonly Place[]>;
}
const books = new WeakMap<Scorebook, Known>();

function knownOf(book: Scorebook): Known {
  const known = books.get(book);
  if (known?.plan === book.planVersion) return known;
  const fresh: Known = { plan: book.planVersion, places: new Map() };
  books.set(book, fresh);
  return fresh;
}

/** The cells a judge is to fill for this candidate in this section. */
export function placesAt(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): readonly Place[] {
  const { places } = knownOf(book);
  const key = `${judge}/${candidate}/${section}`;
  let found = places.get(key);
  if (!found) places.set(key, (found = assignedPlaces(book, judge, candidate, section)));
  return found;
}
