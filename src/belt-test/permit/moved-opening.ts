import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import { type AnyEntry, type EntryOf, isKnown } from "../scorebook/entry.ts";
import { heldAtOpenings } from "../scorebook/held-first.ts";
import { fold, type Scorebook } from "../scorebook/scorebook.ts";

interface Place {
  candidate: CandidateId;
  section: SectionId;
}
/** `open`: it was open already, at another moment. `plan`: it would open before the plan, or a lock, that is here. */
type MovedOpening = Place & { why: "open" | "plan" };

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
  entry: EntryOf<"assigned" | "judge-replaced" | "recused" | "locked">,
): MovedOpening | undefined {
  // What is newer than all there is opens nothing before it.
  if (entry.lamport > book.lamport) return undefined;
  const places = placesOf(book, entry).filter(
    ({ candidate, section }) =>
      book.openings.openedAt(candidate, section) !== undefined ||
      entry.lamport < book.panel.plannedAt(candidate, section) ||
      judgesIn(book).some((judge) => book.openings.hasLocked(judge, candidate, section)),
  );
  if (places.length === 0) return undefined;
  const then = fold([...book.entries()].filter(({ kind }) => opening.has(kind)));
  then.add(entry);
  // A hub that had taken it before said then what it held.
  const isNew =
    entry.kind !== "locked" && heldAtOpenings(book.entries(), new Set([entry.id])).length === 0;
  for (const place of places) {
    const why = movedTo(book, then, place);
    if (why) return { ...place, why };
    if (isNew && (isSpokenOtherwise(book, then, place) || isSealedOtherwise(book, then, place)))
      return { ...place, why: "open" };
  }
  return undefined;
}

/** Whether more, or less, of what somebody wrote would be final than when it was opened. */
function isSealedOtherwise(
  book: Scorebook,
  then: Scorebook,
  { candidate, section }: Place,
): boolean {
  if (book.openings.openedAt(candidate, section) === undefined) return false;
  const sealIn = (one: Scorebook, judge: PersonId): string =>
    JSON.stringify(one.openings.seal(judge, candidate, section) ?? null);
  return judgesIn(book).some(
    (judge) =>
      book.panel.hasHad(judge, candidate, section) && sealIn(book, judge) !== sealIn(then, judge),
  );
}

/** Whether somebody's marks that were opened would be another's word from now on, or count no more: a line of the plan that comes late says nothing of what is open. */
function isSpokenOtherwise(
  book: Scorebook,
  then: Scorebook,
  { candidate, section }: Place,
): boolean {
  if (book.openings.openedAt(candidate, section) === undefined) return false;
  const speakers = book.marks.writersIn(candidate, section);
  const whoSpeaks = (one: Scorebook): string =>
    String(
      one.openings
        .placesOf(candidate, section)
        .map((holders) =>
          String(
            holders.filter(
              (judge) => speakers.has(judge) && !one.openings.isUnsaid(judge, candidate, section),
            ),
          ),
        )
        .sort(),
    );
  return whoSpeaks(book) !== whoSpeaks(then);
}

function movedTo(
  book: Scorebook,
  then: Scorebook,
  { candidate, section }: Place,
): MovedOpening["why"] | undefined {
  const before = book.openings.openedAt(candidate, section);
  const after = then.openings.openedAt(candidate, section);
  const counts = (one: Scorebook, judge: PersonId): boolean =>
    one.openings.hasLockThatCounts(judge, candidate, section);
  const isLost = (judge: PersonId): boolean =>
    (counts(book, judge) && !counts(then, judge)) ||
    (book.openings.seal(judge, candidate, section) !== undefined &&
      then.openings.seal(judge, candidate, section) === undefined);
  // Of whoever never had a place there nothing is final.
  const isAnybodyLost = judgesIn(book).some(
    (judge) => book.panel.hasHad(judge, candidate, section) && isLost(judge),
  );
  // What is open stays open.
  if (before !== undefined && (isAnybodyLost || after === undefined)) return "open";
  if (after === before || after === undefined) return undefined;
  // Whoever took a place that was locked is asked for nothing there.
  const isAsked = then.panel
    .placesAt(candidate, section, NOW)
    .some((holders) => !holders.some((one) => then.openings.hasLocked(one, candidate, section)));
  const isBeforePlan =
    (before !== undefined || isAsked) && after < then.panel.plannedAt(candidate, section);
  if (!isBeforePlan && !isAnybodyLost) return undefined;
  return before === undefined ? "plan" : "open";
}

/** Everybody who is assigned, or has or had somebody's place. */
const judgesIn = ({ panel }: Scorebook): PersonId[] => [
  ...new Set([
    ...panel.assignments.map(({ judge }) => judge),
    ...panel.replacements.flatMap(({ body: { judge, by } }) => [judge, by]),
  ]),
];
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
      return book.panel.watched.filter(
        (place) => place.candidate === candidate && (only ?? place.section) === place.section,
      );
    }
    // Also those whom it leaves out.
    case "assigned":
      return book.panel.watched.filter(({ section }) => section === entry.body.section);
    case "judge-replaced":
      return book.panel.watched;
    default:
      return [];
  }
}

/** What is older than the plan, or than what others locked, opens nothing before it: nobody's lock is to count for nothing because of a line that comes late. */
export function refusalOfMovedOpening(
  book: Scorebook,
  entry: EntryOf<"assigned" | "judge-replaced" | "recused" | "locked">,
): Fault | null {
  const moved = book.plan.rules === 1 ? undefined : movedOpening(book, entry);
  if (!moved) return null;
  const { candidate, section, why } = moved;
  return { code: why === "open" ? "SECTION_OPEN" : "PLAN_OLDER", with: { candidate, section } };
}
