import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import { type EntryOf, isKnown } from "../scorebook/entry.ts";
import { heldAtOpenings } from "../scorebook/held-first.ts";
import type { Openings } from "../scorebook/openings.ts";
import { countedPlace } from "../scorebook/place-counts.ts";
import { everWatched, hasHadPlace } from "../scorebook/places-ever.ts";
import { fold, type Scorebook } from "../scorebook/scorebook.ts";

interface Place {
  candidate: CandidateId;
  section: SectionId;
}
/** `open`: it was open already, at another moment. `plan`: it would open before the plan, or a lock, that is here. */
type MovedOpening = Place & { why: "open" | "plan" };

type OfOpenings = "assigned" | "judge-replaced" | "held-at-giving" | "recused" | "locked";

/** Entries that say when marks are open. */
const opening = kindsThatAre("of-openings");

/**
 * The first child and section whose marks this entry, come late with an old logical time, would open at a moment that leaves somebody out:
 * the opening is the first moment at which all was done, so whoever was assigned, or locked, after it says nothing that counts.
 * Costs a fold of what is said of openings, so it is asked of what is rare.
 *
 * @returns undefined where nobody loses anything
 */
function movedOpening(
  book: Scorebook,
  entry: EntryOf<OfOpenings>,
  isKnownOf: (place: Place) => boolean,
): MovedOpening | undefined {
  // What is newer than all there is opens nothing before it; but a watch that is taken off, or a place that is given away, may open.
  const isOfPlan = ofPlan.has(entry.kind);
  if (entry.lamport > book.lamport && !isOfPlan) return undefined;
  // A plan of thousands is written line by line, and nothing of it is open.
  if (isOfPlan && isUntouched(book)) return undefined;
  const places = placesOf(book, entry).filter(
    ({ candidate, section }) =>
      !isKnownOf({ candidate, section }) &&
      (book.openings.openedAt(candidate, section) !== undefined ||
        entry.lamport < book.panel.plannedAt(candidate, section) ||
        judgesIn(book).some((judge) => book.openings.hasLocked(judge, candidate, section))),
  );
  if (places.length === 0) return undefined;
  const then = withLine(book, entry);
  // A hub that had taken it before said then what it held.
  const isNew =
    entry.kind !== "locked" && heldAtOpenings(book.entries(), new Set([entry.id])).length === 0;
  for (const place of places) {
    const why = movedTo(book, then, place);
    if (why) return { ...place, why };
    if (isNew && isOfPlan && opensBy(book, then, place)) return { ...place, why: "plan" };
    if (isNew && countsOtherwise(book, then, place)) return { ...place, why: "open" };
  }
  return undefined;
}

/** What says only who is to lock. */
const ofPlan = kindsThatAre("of-who-locks");
/** Whether nothing but the plan has been said of openings: nobody has locked, opened, held anything, or stepped back. */
function isUntouched(book: Scorebook): boolean {
  for (const { kind } of book.entries()) if (opening.has(kind) && !ofPlan.has(kind)) return false;
  return true;
}

/** What is said of openings, with this line. */
function withLine(book: Scorebook, entry: AnyEntry): Scorebook {
  const then = fold([...book.entries()].filter(({ kind }) => opening.has(kind)));
  then.add(entry);
  return then;
}

/** The same of one place, asked of an opening: whether of marks that are open there others would count. */
export const wouldCountOtherwise = (book: Scorebook, entry: AnyEntry, place: Place): boolean =>
  countsOtherwise(book, withLine(book, entry), place);

/**
 * Whether of marks that are open somebody's would be another's word from now on, or count no more, or more or less of them would be final: a line of the plan
 * that comes late says nothing of what is open.
 */
function countsOtherwise(book: Scorebook, then: Scorebook, place: Place): boolean {
  const { openings, panel } = book;
  const { candidate, section } = place;
  if (openings.openedAt(candidate, section) === undefined) return false;
  const writers = writersIn(book, place);
  const said = (of: Openings): string => {
    const speakers = new Set(writers.filter((one) => !of.isUnsaid(one, candidate, section)));
    const places = of
      .placesOf(candidate, section)
      .map((place) => place.speakers.filter((one) => speakers.has(one)).join());
    const seals = writers
      .filter((one) => hasHadPlace(panel, one, candidate, section))
      .map((one) => of.seal(one, candidate, section) ?? null);
    return JSON.stringify([places.sort(), seals]);
  };
  return said(openings) !== said(then.openings);
}

/** Whoever marked this child there, whether it counts or not. */
function writersIn(book: Scorebook, { candidate, section }: Place): PersonId[] {
  const words = [...book.entries()].filter((entry) => {
    if (!isKnown(entry) || (entry.kind !== "mark" && entry.kind !== "overall")) return false;
    const of = countedPlace(entry.kind, entry.body);
    return of?.candidate === candidate && of.section === section;
  });
  return [...new Set(words.map(({ by }) => by))];
}

/** Whether marks that are closed would be open: without somebody is opened with a reason, and by no watch that is taken off, nor by a place that goes to somebody who stepped back there, or has locked. */
const opensBy = (book: Scorebook, then: Scorebook, { candidate, section }: Place): boolean =>
  book.openings.openedAt(candidate, section) === undefined &&
  then.openings.openedAt(candidate, section) !== undefined;

function movedTo(
  book: Scorebook,
  then: Scorebook,
  { candidate, section }: Place,
): MovedOpening["why"] | undefined {
  const before = book.openings.openedAt(candidate, section);
  const after = then.openings.openedAt(candidate, section);
  const counts = (one: Scorebook, judge: PersonId): boolean =>
    one.openings.hasLockThatCounts(judge, candidate, section);
  // What was held of somebody when their place was given away binds them no more when it comes back, while all is closed.
  const isLost = (judge: PersonId): boolean =>
    (counts(book, judge) && !counts(then, judge)) ||
    (before !== undefined &&
      book.openings.seal(judge, candidate, section) !== undefined &&
      then.openings.seal(judge, candidate, section) === undefined);
  // Of whoever never had a place there nothing is final.
  const isAnybodyLost = judgesIn(book).some(
    (judge) => hasHadPlace(book.panel, judge, candidate, section) && isLost(judge),
  );
  // What is open stays open.
  if (before !== undefined && (isAnybodyLost || after === undefined)) return "open";
  // Nor does any line take the lock away of somebody whose marks are closed.
  if (before === undefined && after === undefined && isAnybodyLost) return "plan";
  if (after === before || after === undefined) return undefined;
  // Whoever took a place that was locked is asked for nothing there.
  const isAskedAt = (at: number) =>
    then.panel
      .placesAt(candidate, section, at)
      .some(
        ({ speakers }) => !speakers.some((one) => then.openings.hasLocked(one, candidate, section)),
      );
  // Also whoever had a place again in between, and may have locked by then, which is still to come.
  const wasAsked = then.panel.replacements.some(
    ({ lamport }) => lamport > after && isAskedAt(lamport),
  );
  const isBeforePlan =
    (before !== undefined || wasAsked || isAskedAt(NOW)) &&
    after < then.panel.plannedAt(candidate, section);
  if (!isBeforePlan && !isAnybodyLost) return undefined;
  return before === undefined ? "plan" : "open";
}

/** Whoever is not seated has no place. */
const judgesIn = ({ plan }: Scorebook): PersonId[] => plan.seats.map(({ person }) => person);

function placesOf(book: Scorebook, entry: AnyEntry): Place[] {
  if (!isKnown(entry)) return [];
  switch (entry.kind) {
    case "locked":
      return entry.body.candidates.map((candidate) => ({
        candidate,
        section: entry.body.section,
      }));
    case "recused": {
      const { candidate, section: only } = entry.body;
      return everWatched(book.panel).filter(
        (place) => place.candidate === candidate && (only ?? place.section) === place.section,
      );
    }
    // Also those whom it leaves out.
    case "assigned":
      return everWatched(book.panel).filter(({ section }) => section === entry.body.section);
    case "judge-replaced":
    case "held-at-giving":
      return everWatched(book.panel);
    default:
      return [];
  }
}

/**
 * What is older than the plan, or than what others locked, opens nothing before it: nobody's lock is to count for nothing because of a line that comes late.
 *
 * @param isKnownOf  where marks were opened by somebody who had this line already
 */
export function refusalOfMovedOpening(
  book: Scorebook,
  entry: EntryOf<OfOpenings>,
  isKnownOf: (place: Place) => boolean = () => false,
): Fault | null {
  const moved = book.plan.rules === 1 ? undefined : movedOpening(book, entry, isKnownOf);
  if (!moved) return null;
  const { candidate, section, why } = moved;
  return { code: why === "open" ? "SECTION_OPEN" : "PLAN_OLDER", with: { candidate, section } };
}
