import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import { type EntryKind, rowOf } from "../../belt-test/kinds/all-kinds.ts";
import { countedPlace } from "../../belt-test/scorebook/counts.ts";
import {
  type AnyEntry,
  type Entry,
  type EntryBody,
  type EntryOf,
  isKnown,
} from "../../belt-test/scorebook/entry.ts";
import { hasHadPlace } from "../../belt-test/scorebook/places-ever.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { isIn } from "../../belt-test/scorebook/seal.ts";
import { hadByChief } from "../../belt-test/scorebook/what-was-held.ts";
import type { FaultCode } from "../../book/faults.ts";
import type { EntryId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";

interface Here {
  book: Scorebook;
  /** How far the line's count has been heard. */
  last: number;
  /** What else came with its receipt: where that stands, the lost hub knew of both. */
  again: ReadonlySet<EntryId>;
  /** What came without one since this hub was started, of that by which marks open. */
  news: readonly AnyEntry[];
}
/** By what marks open, besides the chief's word. */
export const opensMarks: ReadonlySet<string> = new Set<EntryKind>([
  "locked",
  "recused",
  "assigned",
  "judge-replaced",
]);

/**
 * Whether a line that bears this hub's receipt is kept again although the rules of now refuse it. Its writer chooses when it comes, so they stand where others have
 * gone on without it: what rests on lines that are not here waits for them; a mark whose place was passed over stays out; so does a lock where the place was locked, or an answer where the request was answered, anew; what speaks of marks that are open by lines that the lost hub did not have; and what the chief did not have who has opened those marks, given a verdict on that child, or closed the test, anew.
 */
export function isKeptAgain(here: Here, entry: AnyEntry, refused: FaultCode): boolean {
  if (!isKnown(entry)) return true;
  // It rests on lines that may still come: without them it would open marks on less than its judge locked.
  if (refused === "BASIS_WRONG") return false;
  if (refused === "NOT_ASSIGNED" && !hasHadItsPlaces(here, entry)) return false;
  if (isDecidedWithout(here, entry) || isOpenAnew(here, entry)) return false;
  if (entry.kind === "locked") return !isLockedAnew(here, entry);
  // Of two answers the older stands: what was answered anew would not.
  if (entry.kind === "answered") return refused !== "REQUEST_ANSWERED";
  return !rowOf(entry.kind).is.includes("of-a-place") || entry.n > here.last;
}

/** Whoever is not asked there any more was. Of somebody who never was the plan that says so is still to come, or came too late. */
function hasHadItsPlaces({ book }: Here, entry: AnyEntry): boolean {
  const place = countedPlace(entry.kind, entry.body);
  return !place || hasHadPlace(book.panel, entry.by, place.candidate, place.section);
}

function isLockedAnew({ book, again }: Here, { by, body }: EntryOf<"locked">): boolean {
  const isAt = (candidate: CandidateId, other: AnyEntry) =>
    isKnown(other) &&
    other.kind === "locked" &&
    !again.has(other.id) &&
    other.body.section === body.section &&
    other.body.candidates.includes(candidate);
  const isTheirPlace = (candidate: CandidateId, other: AnyEntry) =>
    other.by === by ||
    book.openings
      .placesOf(candidate, body.section)
      .some((holders) => holders.includes(by) && holders.includes(other.by));
  return body.candidates.some((candidate) =>
    [...book.entries()].some((other) => isAt(candidate, other) && isTheirPlace(candidate, other)),
  );
}

interface About {
  section?: SectionId | null;
  candidate?: CandidateId;
  candidates?: readonly CandidateId[];
}
const childrenOf = ({ candidate, candidates = [] }: About): readonly CandidateId[] =>
  candidate ? [candidate] : candidates;

/** Whether the marks that it speaks of are open by what has been written here since: it would change what stands there. */
function isOpenAnew({ book, news }: Here, entry: AnyEntry): boolean {
  const { section, ...of } = entry.body as About;
  if (!section) return false;
  return childrenOf(of).some(
    (one) =>
      book.openings.isRevealed(one, section) &&
      news.some((line) => isKnown(line) && mayHaveOpened(book, line, one, section)),
  );
}

/** Whether a line that opens marks may have opened these: of a child or a section that it does not touch it opens nothing. */
function mayHaveOpened(
  book: Scorebook,
  line: Entry,
  candidate: CandidateId,
  section: SectionId,
): boolean {
  if (line.kind === "judge-replaced") {
    const { judge, by } = line.body;
    return book.panel
      .placesAt(candidate, section, NOW)
      .some((holders) => holders.includes(judge) || holders.includes(by));
  }
  const its = line.body as About;
  if (its.section && its.section !== section) return false;
  if (childrenOf(its).includes(candidate)) return true;
  // Who is taken off is named by being left out: the watches before named them.
  const { judge, wave } = line.body as Partial<EntryBody<"assigned">>;
  return (
    line.kind === "assigned" &&
    [...book.entries()].some(
      (other) =>
        isKnown(other) &&
        other.kind === "assigned" &&
        other.body.judge === judge &&
        other.body.wave === wave &&
        other.body.section === section &&
        other.body.candidates.includes(candidate),
    )
  );
}

function isDecidedWithout({ book, again }: Here, entry: AnyEntry): boolean {
  const place = countedPlace(entry.kind, entry.body);
  const decided = [
    ...concerned(book, entry).map((one) => book.decisions.verdict(one)),
    ...(place ? book.openings.openedByChief(place.candidate, place.section) : []),
    book.plan.closing,
  ];
  const isAnew = decided.some((one) => one && !again.has(one.id));
  return isAnew && !hadByChief(book).some((basis) => isIn(basis, entry));
}

/** The children whose marks, or whose result, a line is about; of one that changes the plan, also those that it leaves out: all. */
function concerned(book: Scorebook, { kind, body }: AnyEntry): CandidateId[] {
  const { candidate, candidates } = body as { candidate?: CandidateId; candidates?: CandidateId[] };
  if (candidate) return [candidate];
  const isOfThese = kind === "locked" || kind === "revealed";
  return (isOfThese && candidates) || book.plan.entrants.map((one) => one.candidate);
}
