import type { CandidateId, PersonId, SectionId } from "../../src/core/identity.ts";
import { assignedPlaces } from "../../src/core/scorebook/assigned-places.ts";
import type { AnyEntry, EntryOf } from "../../src/core/scorebook/entry.ts";
import { lockBody } from "../../src/core/scorebook/judge-view.ts";
import type { Pen } from "../../src/core/scorebook/pen.ts";
import { fold } from "../../src/core/scorebook/scorebook.ts";

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
      .filter((place) => !book.cell(person, candidate, place))
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

/** A lock that a hub takes: whatever this judge left blank is said to be not seen first. The lock comes last. */
export function aLock(
  judge: Judge,
  section: SectionId,
  candidates: readonly CandidateId[],
  known: readonly AnyEntry[],
): [...EntryOf<"mark">[], EntryOf<"locked">] {
  const rest = theRestNotSeen(judge, section, candidates, known);
  const book = fold([...known, ...rest]);
  const body = lockBody(book, judge.person, section, [...candidates]);
  return [...rest, judge.pen.write("locked", body)];
}
