import type { Basis } from "../../book/counts.ts";
import type { PersonId } from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { EntryBody } from "./entry.ts";
import { basisOfPerson } from "./out-of-turn.ts";
import { basisFor } from "./place-counts.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Without a hub the chief's device says itself what it holds when it gives a place away, of everybody: what comes to a hub later, and was here then, was
 * in time. And whose locks it has not heard of where the marks are open.
 */
export function heldAtGiving(
  book: Scorebook,
  { judge, by }: Pick<EntryBody<"judge-replaced">, "judge" | "by">,
): Omit<EntryBody<"held-at-giving">, "of"> {
  const unheard = unheardOf(book, [judge, by]);
  return {
    basis: book.basis,
    ...(unheard.length > 0 && { unheard }),
  };
}

/**
 * The same of everybody without whom one child's section is opened. Whoever had locked is not among them: a lock stands as it is.
 * Nor is whoever stepped back there; but what they said was in time.
 */
export function heldAtOpening(
  book: Scorebook,
  candidate: CandidateId,
  section: SectionId,
): { basis: Basis; without: PersonId[]; after: Basis } {
  const without = book.panel
    .judgesOf(candidate, section)
    .filter((judge) => !book.openings.hasLocked(judge, candidate, section));
  const backed = book.plan.seats
    .map(({ person }) => person)
    .filter((judge) => book.panel.isRecused(judge, candidate, section));
  const bases = [...without, ...backed].map((judge) => basisOfPerson(book.entries(), judge));
  return {
    without,
    // Of their other places nothing: judges are sent this line, and those may be closed.
    basis: basisFor(Object.assign({}, ...bases) as Basis, [{ candidate, section }]),
    after: basisFor(book.basis, [{ candidate, section }]),
  };
}

/** Where the marks are open, everybody without a lock who has, or had, a place of one of these judges. */
function unheardOf(
  book: Scorebook,
  judges: readonly PersonId[],
): NonNullable<EntryBody<"held-at-giving">["unheard"]> {
  const found = new Map<
    string,
    { judge: PersonId; section: SectionId; candidates: CandidateId[] }
  >();
  for (const { candidate, section } of book.panel.watched) {
    if (!book.openings.isRevealed(candidate, section)) continue;
    const places = book.openings.placesOf(candidate, section);
    const theirs = places.flatMap(({ holders }) =>
      holders.some((one) => judges.includes(one)) ? holders : [],
    );
    for (const judge of new Set(theirs))
      if (!book.openings.hasLocked(judge, candidate, section))
        keyed(found, `${judge}/${section}`, () => ({
          judge,
          section,
          candidates: [],
        })).candidates.push(candidate);
  }
  return [...found.values()];
}
