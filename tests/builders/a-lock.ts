import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import type { EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import { lockBody } from "../../src/belt-test/scorebook/judge-view.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { fold, type Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";

interface Judge {
  person: PersonId;
  pen: Pen;
}

/** Says “not seen” in every cell that this judge has left blank, by what is known. */
export function theRestNotSeen(
  { person, pen }: Judge,
  section: SectionId,
  candidates: readonly CandidateId[],
  known: readonly AnyEntry[],
): EntryOf<"mark">[] {
  const book = fold(known);
  return candidates.flatMap((candidate) =>
    assignedPlaces(book, person, candidate, section)
      .filter((place) => !book.marks.cell(person, candidate, place))
      .map(({ item, side, criterion }) =>
        pen.write("mark", {
          section,
          item,
          side,
          cells: [{ candidate, criterion, level: "not-seen", how: "tapped" }],
        }),
      ),
  );
}

/** Locks that a hub takes, one a child where the book is of today's rules: whatever this judge left blank is said to be not seen first. The locks come last. */
export function aLock(
  judge: Judge,
  section: SectionId,
  candidates: readonly CandidateId[],
  known: readonly AnyEntry[],
): (EntryOf<"mark"> | EntryOf<"locked">)[] {
  const rest = theRestNotSeen(judge, section, candidates, known);
  const book = fold([...known, ...rest]);
  return [...rest, ...locksOf(judge, section, candidates, book)];
}

/** The locks alone, of what a book has. */
function locksOf(
  { person, pen }: Judge,
  section: SectionId,
  candidates: readonly CandidateId[],
  book: Scorebook,
): EntryOf<"locked">[] {
  const body = (candidate: CandidateId) => lockBody(book, person, section, candidate);
  // As books of the first rules have it: one lock for all.
  if (book.plan.rules === 1)
    return [
      pen.write("locked", { ...body(candidates[0] as CandidateId), candidates: [...candidates] }),
    ];
  return candidates.map((candidate) => pen.write("locked", body(candidate)));
}
