import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { HeldPlace } from "./held-place.ts";
import { opensWithout } from "./opens-without.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Whether somebody can take this judge's places without opening marks that wait for nobody else: where they stepped back themselves, or have locked already, in whatever place,
 * nobody would be asked any more. That is an opening, which takes a reason.
 *
 * @param isLocked  of a judge there: a chief holds no lock of marks that are closed, and knows from the hub who has locked
 * @param places  of those places these alone, by whose they were first in the plan
 */
export const mayTakeOver = (
  book: Scorebook,
  judge: PersonId,
  by: PersonId,
  isLocked: (judge: PersonId, candidate: CandidateId, section: SectionId) => boolean,
  places?: readonly PersonId[],
): boolean => {
  const isTheirs = ({ holder, holders: [first] }: HeldPlace): boolean =>
    holder === judge && (places?.includes(first as PersonId) ?? true);
  return book.panel.watched
    .filter(
      ({ candidate, section }) =>
        book.panel.judgesOf(candidate, section).includes(judge) &&
        book.panel.placesAt(candidate, section, NOW).some(isTheirs),
    )
    .filter(({ candidate, section }) => {
      const { panel } = book;
      return (
        panel.isRecused(by, candidate, section) ||
        panel.judgesOf(candidate, section).includes(by) ||
        isLocked(by, candidate, section)
      );
    })
    .every(
      ({ candidate, section }) =>
        // Where nobody else has a place the marks would be open at once.
        book.panel.placesAt(candidate, section, NOW).some((place) => !isTheirs(place)) &&
        !opensWithout(book, { candidate, section }, isTheirs, (one) =>
          isLocked(one, candidate, section),
        ),
    );
};
