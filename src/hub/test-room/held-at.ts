import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import {
  eachPlaceOnce,
  type MarkedPlace,
  markedPlaceKey,
} from "../../belt-test/kinds/marked-place.ts";
import { type EntryOf, isKnown } from "../../belt-test/scorebook/entry.ts";
import { heldAtOpenings } from "../../belt-test/scorebook/held-first.ts";
import { basisOfPerson } from "../../belt-test/scorebook/out-of-turn.ts";
import { Pen } from "../../belt-test/scorebook/pen.ts";
import { basisFor } from "../../belt-test/scorebook/place-counts.ts";
import { everWatched } from "../../belt-test/scorebook/places-ever.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { isIn } from "../../belt-test/scorebook/seal.ts";
import { hadByChief } from "../../belt-test/scorebook/what-was-held.ts";
import type { Basis } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { DeviceId, PersonId } from "../../book/identity.ts";
import type { HeldBox } from "../seals/held-box.ts";

/**
 * What the hub writes beside an opening by the chief, a judge's replacement, or the closing: what it held of each judge at this moment.
 * Where a judge had not locked it stands for the lock that never came; whatever the judge's tablet brings later is late. Only the hub can say it:
 * nobody else is sent closed marks. Where a judge had locked it says of that lock that it was here, to a hub put back from an older copy, which may
 * hear the chief before the judge.
 *
 * @param book  with the entry in it
 * @returns none for any other entry, for a book of the first rules, where a file comes from the road without a hub, on which the chief's device said
 *   it itself, and where it gives back what a lost hub had said
 */
export function heldAt(
  book: Scorebook,
  entry: AnyEntry,
  { nowMs, makeId, box, isFromRoad = false, openBefore = nowhere }: Held,
): AnyEntry[] {
  if (book.plan.rules === 1 || !isKnown(entry) || (isSaidByChief(entry) && isFromRoad)) return [];
  const said = placesOf(book, entry, openBefore);
  // What the chief's device says itself undoes no lock that is here.
  const spoken = isSaidByChief(entry) ? said.filter((place) => isLocked(book, place)) : said;
  const places = spoken.length > 0 ? spoken : atLeast(book, entry);
  if (places.length === 0 || heldAtOpenings(book.entries(), new Set([entry.id])).length > 0)
    return [];
  const aPen = () =>
    new Pen({
      grading: entry.grading,
      person: entry.by,
      // One of its own for each line: a hub put back from an older copy would count anew what tablets have heard already, and some lines come back
      // without the others.
      device: `held-${makeId()}` as DeviceId,
      // Not the book's: closed marks would be told by it.
      lamport: entry.lamport,
      makeId,
      nowMs: () => nowMs,
      rules: () => book.plan.rules,
    });
  const held = places.map((place) => {
    const body = { of: entry.id, ...place };
    const vouch = box && { vouch: box.vouchFor({ grading: entry.grading, body }) };
    return aPen().write("held", { ...body, ...vouch });
  });
  const closed = held.filter(({ body }) => !book.openings.isRevealed(body.candidate, body.section));
  if (!box || closed.length === 0) return held as AnyEntry[];
  const shut = aPen().write("held-sealed", { of: entry.id, box: box.close(closed as AnyEntry[]) });
  return [...held, shut] as AnyEntry[];
}

interface Held {
  nowMs: number;
  makeId: () => string;
  /** For what is said of places that are closed still: nobody is sent that before they are open, so the chief's device keeps it shut away. */
  box?: HeldBox | undefined;
  /** Whether the entry comes in a file from the road without a hub. */
  isFromRoad?: boolean | undefined;
  /** Where the marks were open before this entry came: see `openPlaces`. */
  openBefore?: ReadonlySet<string>;
}
const nowhere: ReadonlySet<string> = new Set();

/** Where the marks are open: asked before an entry is entered beside which the hub may say what it holds. */
export function openPlaces(book: Scorebook, { kind }: AnyEntry): ReadonlySet<string> {
  if (kind !== "revealed" && kind !== "judge-replaced" && kind !== "closed") return nowhere;
  // Also where a child's rubric asks for nothing any more.
  const open = everWatched(book.panel).filter(({ candidate, section }) =>
    book.openings.isRevealed(candidate, section),
  );
  return new Set(open.map(markedPlaceKey));
}

const isLocked = (book: Scorebook, { judge, candidate, section }: HeldPlace): boolean =>
  book.openings.hasLocked(judge, candidate, section);

const isSaidByChief = (entry: AnyEntry): boolean =>
  isKnown(entry) &&
  ((entry.kind === "revealed" && entry.body.basis !== undefined) ||
    (entry.kind === "judge-replaced" &&
      (entry.body.basis !== undefined || entry.body.isHeldBeside === true)));

/** Where there is nothing to say of an opening: that it was here, so that a hub put back from an older copy knows it for one that the lost hub had. */
function atLeast(book: Scorebook, entry: AnyEntry): HeldPlace[] {
  if (!isKnown(entry)) return [];
  const here = { basis: {} as Basis, late: true };
  if (entry.kind === "revealed") {
    const [candidate] = entry.body.candidates;
    return candidate ? [{ judge: entry.by, candidate, section: entry.body.section, ...here }] : [];
  }
  if (entry.kind !== "judge-replaced") return [];
  return placesOfJudge(book, entry.body.judge)
    .slice(0, 1)
    .map((place) => ({ judge: entry.body.judge, ...place, ...here }));
}

interface HeldPlace {
  judge: PersonId;
  candidate: CandidateId;
  section: SectionId;
  basis: Basis;
  late?: boolean;
}

function placesOf(book: Scorebook, entry: AnyEntry, openBefore: ReadonlySet<string>): HeldPlace[] {
  if (!isKnown(entry)) return [];
  const bases = new Map<PersonId, Basis>();
  const missing = (judge: PersonId, candidate: CandidateId, section: SectionId): HeldPlace => {
    let basis = bases.get(judge);
    if (!basis) bases.set(judge, (basis = basisOfPerson(book.entries(), judge)));
    return { judge, candidate, section, basis: basisFor(basis, [{ candidate, section }]) };
  };
  // Where the marks were open before, nothing becomes final any more, however old this line says to be.
  const opensHere = (candidate: CandidateId, section: SectionId): boolean =>
    !openBefore.has(markedPlaceKey({ candidate, section })) &&
    (book.openings.openedAt(candidate, section) ?? entry.lamport) >= entry.lamport;
  const isMissing = (judge: PersonId, candidate: CandidateId, section: SectionId): boolean =>
    opensHere(candidate, section) &&
    (!book.openings.seal(judge, candidate, section) || hasItAgain(judge, candidate, section));
  // What was held when the place was given away says less than what is held now.
  const hasItAgain = (judge: PersonId, candidate: CandidateId, section: SectionId): boolean =>
    book.panel.judgesOf(candidate, section).includes(judge) &&
    !book.openings.hasLockThatCounts(judge, candidate, section);
  // Also whoever had locked and is not asked any more: an opening that was written before that lock does not undo it.
  const asked = (candidate: CandidateId, section: SectionId): PersonId[] => {
    const seated = book.plan.seats.map(({ person }) => person);
    const locked = seated.filter((judge) => book.openings.hasLocked(judge, candidate, section));
    return [...new Set([...book.panel.judgesOf(candidate, section), ...locked])];
  };
  // Nothing of theirs is final by it; but a hub put back from an older copy, which hears the chief first, knows that they had stepped back when they say so again.
  const steppedBack = (candidate: CandidateId, section: SectionId): HeldPlace[] =>
    book.panel
      .recusedFrom(candidate)
      .filter(
        (judge) =>
          book.panel.isRecused(judge, candidate, section, entry.lamport) &&
          !book.openings.hasLocked(judge, candidate, section),
      )
      .map((judge) => ({ ...missing(judge, candidate, section), late: true }));
  switch (entry.kind) {
    case "revealed": {
      const { section, candidates } = entry.body;
      return candidates.flatMap((candidate) => [
        ...asked(candidate, section)
          .filter((judge) => isMissing(judge, candidate, section))
          .map((judge) => missing(judge, candidate, section)),
        ...lockedAt(book, entry, candidate, section),
        ...steppedBack(candidate, section),
      ]);
    }
    case "assigned":
      return openAndReplanned(book, entry);
    case "judge-replaced": {
      const { judge } = entry.body;
      // Also where nothing was marked: what comes later is late there too.
      const isTheirs = (candidate: CandidateId, section: SectionId): boolean =>
        book.panel.judgesOf(candidate, section, entry.lamport - 1).includes(judge) ||
        book.marks
          .of(candidate, "now")
          .some((one) => one.judge === judge && one.section === section);
      const others = openAndReplanned(book, entry).filter((one) => one.judge !== judge);
      const theirs = placesOfJudge(book, judge).flatMap(({ candidate, section }) => {
        const locked = lockedAt(book, entry, candidate, section).filter(
          (one) => one.judge === judge,
        );
        if (locked.length > 0) return locked;
        return isTheirs(candidate, section) && isMissing(judge, candidate, section)
          ? [missing(judge, candidate, section)]
          : [];
      });
      return [...theirs, ...others];
    }
    case "closed": {
      const known = entry.body.basis ?? {};
      const had = [known, ...hadByChief(book)];
      const writers = new Map([...book.entries()].map(({ device, by }) => [String(device), by]));
      const hub = { here: book.basis, writers };
      const locked = placesIn(book).flatMap(({ candidate, section }) =>
        lockedAt(book, entry, candidate, section),
      );
      // Whoever had not locked has said nothing final: a lock that comes later changes nothing.
      const unlocked = placesIn(book).flatMap(({ candidate, section }) =>
        book.panel
          .judgesOf(candidate, section)
          .filter((judge) => isMissing(judge, candidate, section))
          .filter((judge) => !isBehind(hub, judge, had))
          .map((judge) => ({ judge, candidate, section, basis: {} as Basis })),
      );
      const lacking = locked.filter(({ basis }) => !isWithin(basis, known as Basis));
      const back = placesIn(book).flatMap(({ candidate, section }) =>
        steppedBack(candidate, section),
      );
      const held = [...unlocked, ...lacking, ...back];
      // One at least, so that a closing which comes again is known by it.
      return held.length > 0 ? held : locked.slice(0, 1);
    }
    default:
      return [];
  }
}

/**
 * Whose locks had opened what the plan is now changed of: a hub put back from an older copy that hears the chief first would take them for
 * locks of before the plan, which nobody was to be led by.
 */
function openAndReplanned(
  book: Scorebook,
  entry: EntryOf<"assigned" | "judge-replaced">,
): HeldPlace[] {
  const { lamport } = entry;
  const judgesAt = (candidate: CandidateId, section: SectionId, at: number) =>
    String(book.panel.judgesOf(candidate, section, at).toSorted());
  return concernedBy(book, entry).flatMap(({ candidate, section }) => {
    // A plan is hundreds of lines, nearly all of them written before anybody has locked.
    const { openings } = book;
    const isUntouched =
      openings.locksOf(candidate, section).size === 0 &&
      openings.openedByChief(candidate, section).length === 0;
    if (isUntouched) return [];
    const opened = book.openings.openedAt(candidate, section);
    if (opened === undefined || opened >= lamport) return [];
    // Whom it leaves out it does not name.
    const isOther =
      judgesAt(candidate, section, lamport - 1) !== judgesAt(candidate, section, lamport);
    const isNamed = book.panel.plannedAt(candidate, section) >= lamport;
    return isNamed || isOther ? lockedAt(book, entry, candidate, section) : [];
  });
}

/** Places of which such a line may say anew who judges there; an assignment also those that it leaves out. */
function concernedBy(
  book: Scorebook,
  entry: EntryOf<"assigned" | "judge-replaced">,
): MarkedPlace[] {
  if (entry.kind === "judge-replaced") return placesIn(book);
  const { judge, section, wave, candidates } = entry.body;
  // Of a judge, a section and a wave the newest line stands alone.
  const before = book.panel.everTold
    .filter(
      (told) =>
        wave !== undefined &&
        told.wave === wave &&
        told.judge === judge &&
        told.section === section,
    )
    .flatMap((told) => told.candidates);
  return [...new Set([...candidates, ...before])].map((candidate) => ({ candidate, section }));
}

/** Whether this hub lacks of a judge what the chief has had: put back from an older copy, it does not know whether there was a lock. */
function isBehind(
  { here, writers }: { here: Basis; writers: ReadonlyMap<string, PersonId> },
  judge: PersonId,
  had: readonly Basis[],
): boolean {
  return had
    .flatMap((basis) => Object.entries(basis))
    .some(([device, n]) => !isIn(here, { device, n }) && (writers.get(device) ?? judge) === judge);
}

/** Whether the chief's device says itself that it has had all of it. */
const isWithin = (basis: Basis, known: Basis): boolean =>
  Object.entries(basis).every(([device, n]) => isIn(known, { device, n }));

const placesIn = (book: Scorebook): MarkedPlace[] =>
  book.plan.entrants.flatMap(({ candidate }) =>
    (book.plan.rubricOf(candidate)?.sections ?? []).map(({ id }) => ({ candidate, section: id })),
  );

/** The same with those where this judge marked: a child may have another rubric by mistake, and have its own again. */
function placesOfJudge(book: Scorebook, judge: PersonId): MarkedPlace[] {
  const marked = book.plan.entrants.flatMap(({ candidate }) =>
    book.marks.of(candidate, "now").filter((mark) => mark.judge === judge),
  );
  return eachPlaceOnce([
    ...placesIn(book),
    ...marked.map(({ candidate, section }) => ({ candidate, section })),
  ]);
}

/** Of everybody whose lock counts there: the lock, and what it speaks of. No more than it says itself. */
function lockedAt(
  book: Scorebook,
  entry: AnyEntry,
  candidate: CandidateId,
  section: SectionId,
): HeldPlace[] {
  return book.plan.seats.flatMap(({ person: judge }) => {
    const [lock, ...others] = book.openings.locks(judge, candidate, section);
    // Of two that contradict each other only what both say counts, which no one basis could tell. One that came when the marks were open counts nothing.
    if (!lock || others.length > 0 || !book.openings.seal(judge, candidate, section)) return [];
    const basis = { ...lock.basis, [lock.device]: lock.n } as Basis;
    // One that came when the marks were open, or of a tablet that the hub had not heard when it said what it held, is spoken of, and makes nothing final.
    const isLate =
      book.openings.locksInTime(judge, candidate, section).length === 0 ||
      book.openings.wasHeldBefore(lock, judge, candidate, section) ||
      // What the chief's device says itself undoes no lock that is here; one that came after it is late.
      (!isSaidByChief(entry) && !book.openings.hasLockThatCounts(judge, candidate, section));
    return [{ judge, candidate, section, basis, ...(isLate && { late: true }) }];
  });
}
