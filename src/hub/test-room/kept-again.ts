import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import { kindsThatAre, rowOf } from "../../belt-test/kinds/all-kinds.ts";
import { type Entry, type EntryOf, isKnown } from "../../belt-test/scorebook/entry.ts";
import { countedPlace } from "../../belt-test/scorebook/place-counts.ts";
import { hasHadPlace } from "../../belt-test/scorebook/places-ever.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { isIn } from "../../belt-test/scorebook/seal.ts";
import { hadByChief } from "../../belt-test/scorebook/what-was-held.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { FaultCode } from "../../book/faults.ts";
import type { EntryId } from "../../book/identity.ts";
import { byAge, NOW } from "../../book/order.ts";

interface Here {
  book: Scorebook;
  /** How far the line's count has been heard. */
  last: number;
  /** What else came with its receipt: where that stands, the lost hub knew of both. */
  again: ReadonlySet<EntryId>;
  /** What was here when it was noticed that a hub was lost: the copy, which the lost one knew too. */
  ofCopy: ReadonlySet<EntryId>;
  /** What came without one since this hub was started, of that by which marks open. */
  news: readonly AnyEntry[];
}
/** By what marks open. */
export const opensMarks = kindsThatAre("opens-marks");

/** What keeps other lines out that come later, where it was decided anew. */
export const decides = kindsThatAre("decides");

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

/** Neither the copy nor the lost hub had it. */
const isAnew = ({ again, ofCopy }: Here, { id }: AnyEntry): boolean =>
  !again.has(id) && !ofCopy.has(id);

function isLockedAnew(here: Here, { by, body }: EntryOf<"locked">): boolean {
  const { book } = here;
  const isAt = (candidate: CandidateId, other: AnyEntry) =>
    isKnown(other) &&
    other.kind === "locked" &&
    isAnew(here, other) &&
    other.body.section === body.section &&
    other.body.candidates.includes(candidate);
  const isTheirPlace = (candidate: CandidateId, other: AnyEntry) =>
    other.by === by ||
    book.openings
      .placesOf(candidate, body.section)
      .some(({ speakers }) => speakers.includes(by) && speakers.includes(other.by));
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
const namesNobody = ({ candidate, candidates }: About): boolean => !candidate && !candidates;

/** Whether the marks that it speaks of are open by what has been written here since: it would change what stands there. */
function isOpenAnew({ book, news }: Here, entry: AnyEntry): boolean {
  const { section, ...of } = entry.body as About;
  if (!section) return false;
  return childrenOf(of).some(
    (one) =>
      book.openings.isRevealed(one, section) &&
      news.some((line) => isKnown(line) && isAbout(book, line, one, section)),
  );
}

/**
 * Whether a line is about a child, in one section or in any: it names the child, or takes the place of a watch or of lanes that did, or gives away a place there. What says nothing of
 * children is about all.
 */
function isAbout(
  book: Scorebook,
  entry: Entry,
  candidate: CandidateId,
  section?: SectionId,
): boolean {
  const { plan } = book;
  if (entry.kind === "judge-replaced") {
    const all = plan.rubricOf(candidate)?.sections.map(({ id }) => id) ?? [];
    return (section ? [section] : all).some((one) => isPlaceOf(book, entry, candidate, one));
  }
  if (entry.kind === "lined-up")
    return [...entry.body.lanes, ...plan.inWave(entry.body.wave)].includes(candidate);
  const its: About = countedPlace(entry.kind, entry.body) ?? (entry.body as About);
  if (section && its.section && its.section !== section) return false;
  if (namesNobody(its) || childrenOf(its).includes(candidate)) return true;
  // Who is taken off is named by being left out: the watch before named them.
  const before = entry.kind === "assigned" ? watchBefore(book, entry) : undefined;
  return before?.body.candidates.includes(candidate) ?? false;
}

/** Whether a place of that child's section is, or was when it was written, one that this judge has had. */
const isPlaceOf = (
  { panel }: Scorebook,
  { lamport, body: { judge } }: EntryOf<"judge-replaced">,
  candidate: CandidateId,
  section: SectionId,
): boolean =>
  [lamport, NOW].some((at) =>
    panel.placesAt(candidate, section, at).some(({ holders }) => holders.includes(judge)),
  );

/** The watch of which this one takes the place: the same judge's, of that section and wave. */
function watchBefore(book: Scorebook, entry: EntryOf<"assigned">): EntryOf<"assigned"> | undefined {
  const { judge, section, wave } = entry.body;
  const isBefore = (other: AnyEntry): other is EntryOf<"assigned"> =>
    isKnown(other) &&
    other.kind === "assigned" &&
    other.body.judge === judge &&
    other.body.section === section &&
    other.body.wave === wave &&
    wave !== undefined &&
    byAge(other, entry) < 0;
  return [...book.entries()].filter(isBefore).sort(byAge).at(-1);
}

/** Whether a chief who did not have it has decided anew, of a child that it is about: what would change what they decided. */
function isDecidedWithout(here: Here, entry: Entry): boolean {
  const { book } = here;
  const place = countedPlace(entry.kind, entry.body);
  const concerned = book.plan.entrants.filter((one) => isAbout(book, entry, one.candidate));
  const decided = [
    ...concerned.map(({ candidate }) => book.decisions.verdict(candidate)),
    ...(place ? book.openings.openedByChief(place.candidate, place.section) : []),
    book.plan.closing,
  ];
  const isWithout = decided.some((one) => one && isAnew(here, one));
  return isWithout && !hadByChief(book).some((basis) => isIn(basis, entry));
}
