import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import type { Basis } from "../../belt-test/kinds/body-parts.ts";
import { basisFor } from "../../belt-test/scorebook/counts.ts";
import { basisOfPerson } from "../../belt-test/scorebook/out-of-turn.ts";
import type { PersonId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";

/** Without a hub this device says itself what it holds of a judge whose place is given away; with one the hub does, which alone holds closed marks. */
export function heldWithoutHub({ book, pass }: Notebook, judge: PersonId): { basis?: Basis } {
  if (pass.token) return {};
  return { basis: basisOfPerson(book.entries(), judge) };
}

/** The same of everybody without whom one child's section is opened. Whoever had locked is not among them: a lock stands as it is. */
export function missingWithoutHub(
  { book, pass }: Notebook,
  candidate: CandidateId,
  section: SectionId,
): { basis?: Basis; without?: PersonId[]; after?: Basis } {
  if (pass.token) return {};
  const without = book.panel
    .judgesOf(candidate, section)
    .filter((judge) => !book.openings.hasLocked(judge, candidate, section));
  const bases = without.map((judge) => basisOfPerson(book.entries(), judge));
  return {
    without,
    basis: Object.assign({}, ...bases) as Basis,
    after: basisFor(book.basis, [{ candidate, section }]),
  };
}
