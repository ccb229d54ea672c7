import type { CandidateId, DeviceId, PersonId, SectionId } from "../core/identity.ts";
import { type AnyEntry, type Basis, isKnown } from "../core/scorebook/entry.ts";
import { basisOfPerson } from "../core/scorebook/out-of-turn.ts";
import { Pen } from "../core/scorebook/pen.ts";
import type { Scorebook } from "../core/scorebook/scorebook.ts";

/**
 * What the hub writes beside an opening without a judge, or a judge's replacement: what it held of that judge at this moment.
 * It stands for the lock that never came; whatever the judge's tablet brings later is late. Only the hub can say it: nobody else is sent closed marks.
 *
 * @param book  with the entry in it
 * @returns none for any other entry, for a book of the first rules, and where the judge has locked or marked nothing
 */
export function heldAt(
  book: Scorebook,
  entry: AnyEntry,
  nowMs: number,
  makeId: () => string,
): AnyEntry[] {
  if (book.rules === 1 || !isKnown(entry)) return [];
  const missing = placesOf(book, entry).filter(
    ({ judge, candidate, section }) =>
      !book.seal(judge, candidate, section) &&
      // Where the marks were open before, nothing becomes final any more.
      (book.openedAt(candidate, section) ?? entry.lamport) >= entry.lamport,
  );
  if (missing.length === 0) return [];
  // A device of its own each time: a hub put back from an older copy would count anew what tablets have heard already.
  const pen = new Pen({
    grading: entry.grading,
    person: entry.by,
    device: `held-${makeId()}` as DeviceId,
    lamport: book.lamport,
    makeId,
    nowMs: () => nowMs,
  });
  const bases = new Map<PersonId, Basis>();
  return missing.map((place) => {
    let basis = bases.get(place.judge);
    if (!basis) bases.set(place.judge, (basis = basisOfPerson(book.entries(), place.judge)));
    return pen.write("held", { of: entry.id, ...place, basis }) as AnyEntry;
  });
}

interface JudgesPlace {
  judge: PersonId;
  candidate: CandidateId;
  section: SectionId;
}

function placesOf(book: Scorebook, entry: AnyEntry): JudgesPlace[] {
  if (!isKnown(entry)) return [];
  if (entry.kind === "revealed") {
    const { section, candidates } = entry.body;
    return candidates.flatMap((candidate) =>
      book.judgesOf(candidate, section).map((judge) => ({ judge, candidate, section })),
    );
  }
  if (entry.kind !== "judge-replaced") return [];
  const { judge } = entry.body;
  return book.entrants.flatMap(({ candidate }) => {
    const marked = book.marks(candidate, "now").filter((mark) => mark.judge === judge);
    return [...new Set(marked.map(({ section }) => section))].map((section) => ({
      judge,
      candidate,
      section,
    }));
  });
}
