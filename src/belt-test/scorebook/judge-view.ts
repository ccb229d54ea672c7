import type { Basis } from "../../book/counts.ts";
import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, CriterionId, ItemId } from "../identity.ts";
import type { MarkedPlace } from "../kinds/marked-place.ts";
import { criteriaAt, itemOf, meetsLevelAt, sectionOf } from "../rubric/lookup.ts";
import type { Item, Section, Side } from "../rubric/rubric.ts";
import { markedAlike, type Step } from "../script/script.ts";
import { assignedPlaces } from "./assigned-places.ts";
import type { Place } from "./cell.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import { laneOf } from "./lane-words.ts";
import { basisOfPerson } from "./out-of-turn.ts";
import { basisFor } from "./place-counts.ts";
import type { Scorebook } from "./scorebook.ts";

/** What a judge is asked at one step: a cell of one candidate. In a checklist `item` differs from the step's. */
export interface AskedCell {
  candidate: CandidateId;
  item: ItemId | null;
  side: Side | null;
  criterion: CriterionId;
}

/** The candidates this judge marks at a step, as they stood there. */
export const watchedAt = (book: Scorebook, judge: PersonId, step: Step): CandidateId[] =>
  step.candidates.filter((one) => book.panel.judgesOf(one, step.section).includes(judge));

/** The candidate's own section and item at a step; undefined when this rubric has none. */
export function placeOf(
  book: Scorebook,
  candidate: CandidateId,
  step: Pick<Step, "section" | "item">,
): { section: Section; item: Item | null } | undefined {
  const rubric = book.plan.rubricOf(candidate);
  const section = rubric && sectionOf(rubric, step.section);
  if (!section) return undefined;
  const item = step.item === null ? null : itemOf(section, step.item);
  return item === undefined ? undefined : { section, item };
}

/** Every cell this judge may mark at a step: asked for there or, on the first side of an item that is marked once for both, at the second. */
export const askedCells = (book: Scorebook, judge: PersonId, step: Step): AskedCell[] =>
  markedAlike(step).flatMap((part) => cellsOf(book, judge, part));

/** Of what is asked for at a step, the parts that are asked for at this very call. Where nothing is yet, all of it. */
export const askedNow = (step: Step): Step[] =>
  markedAlike(step).filter(({ asked }) => asked || !step.asked);

function cellsOf(book: Scorebook, judge: PersonId, step: Step): AskedCell[] {
  return watchedAt(book, judge, step).flatMap((candidate) => {
    const place = placeOf(book, candidate, step);
    if (!place) return [];
    const items =
      step.marking === "checklist" && step.item === null ? place.section.items : [place.item];
    return items
      .filter((item) => item === null || book.plan.excuse(candidate, item.id) === undefined)
      .flatMap((item) =>
        criteriaAt(place.section, item).map((criterion) => ({
          candidate,
          item: item?.id ?? null,
          side: step.markedSide,
          criterion,
        })),
      );
  });
}

/** The asked cells nobody of this judge's hand has marked yet: not even “not seen”. */
export function blankCells(book: Scorebook, judge: PersonId, step: Step): AskedCell[] {
  return askedCells(book, judge, step).filter(
    ({ candidate, ...place }) =>
      book.marks.cell(judge, candidate, { section: step.section, ...place }) === undefined,
  );
}

/** The overall judgements still missing at the close of a section. */
export function missingOveralls(book: Scorebook, judge: PersonId, step: Step): CandidateId[] {
  if (step.item !== null) return [];
  return watchedAt(book, judge, step).filter(
    (candidate) =>
      placeOf(book, candidate, step)?.section.overall &&
      book.marks.overall(judge, candidate, step.section) === null,
  );
}

/**
 * The marks that “rest meets” writes: the standard's level in every asked cell that is blank now, for these candidates.
 * Never a standing rule: a cell that becomes blank later stays blank.
 * @returns one body for each child (and, in a checklist, item); none when nothing is blank.
 */
export function restBodies(
  book: Scorebook,
  judge: PersonId,
  step: Step,
  candidates: readonly CandidateId[],
): EntryBody<"mark">[] {
  return fill(book, judge, step, candidates, (candidate) => {
    const place = placeOf(book, candidate, step);
    const rubric = book.plan.rubricOf(candidate);
    return { level: place && rubric ? meetsLevelAt(rubric, place.section) : 1, how: "rest" };
  });
}

/** “Not seen”: a judgement too, written in every asked cell of a candidate that is blank now. */
export const notSeenBodies = (
  book: Scorebook,
  judge: PersonId,
  step: Step,
  candidate: CandidateId,
): EntryBody<"mark">[] =>
  fill(book, judge, step, [candidate], () => ({ level: "not-seen", how: "tapped" }));

function fill(
  book: Scorebook,
  judge: PersonId,
  step: Step,
  candidates: readonly CandidateId[],
  markFor: (candidate: CandidateId) => Pick<EntryBody<"mark">["cells"][number], "level" | "how">,
): EntryBody<"mark">[] {
  const bodies = new Map<string, EntryBody<"mark">>();
  for (const { candidate, item, side, criterion } of blankCells(book, judge, step)) {
    if (!candidates.includes(candidate)) continue;
    // New books speak of one child in each entry.
    const key = book.plan.rules === 1 ? `${item}/${side}` : `${item}/${candidate}`;
    let body = bodies.get(key);
    if (!body) {
      const where = { section: step.section, item, side };
      body = { ...where, ...(book.plan.rules > 1 && laneOf(step, candidate)), cells: [] };
      bodies.set(key, body);
    }
    body.cells.push({ candidate, criterion, ...markFor(candidate) });
  }
  return [...bodies.values()];
}

export interface SectionWork {
  section: Step["section"];
  /** Candidates of the wave this judge marks here and has not locked. */
  unlocked: CandidateId[];
  /** Candidates whose marks were opened without a lock of this judge's, whether one came after it or not: the chief says whether what they mark since counts. */
  openedWithout: CandidateId[];
  steps: Step[];
  /** Cells still blank, over all steps of the section. */
  blank: number;
  overallsMissing: number;
}

/** What this judge has left to do in a wave, section by section; sections without an assignment are left out. */
export function workOf(book: Scorebook, judge: PersonId, steps: readonly Step[]): SectionWork[] {
  const sections = [...new Set(steps.map(({ section }) => section))];
  return sections.flatMap((section) => {
    const here = steps.filter((step) => step.section === section);
    const watched = [...new Set(here.flatMap((step) => watchedAt(book, judge, step)))];
    if (watched.length === 0) return [];
    const asked = here.flatMap(markedAlike).filter(({ asked }) => asked);
    return [
      {
        section,
        unlocked: watched.filter(
          (candidate) => !book.openings.hasLocked(judge, candidate, section),
        ),
        openedWithout: watched.filter(
          (candidate) =>
            book.plan.rules > 1 &&
            book.openings.isRevealed(candidate, section) &&
            !book.openings.hasLockThatCounts(judge, candidate, section),
        ),
        steps: here,
        blank: asked.reduce((sum, step) => sum + blankCells(book, judge, step).length, 0),
        overallsMissing: asked.reduce(
          (sum, step) => sum + missingOveralls(book, judge, step).length,
          0,
        ),
      },
    ];
  });
}

/** The lock of one candidate in a section, speaking of everything this judge has written there on any device the book knows. The pen adds its own count. */
export function lockBody(
  book: Scorebook,
  judge: PersonId,
  section: Step["section"],
  candidate: CandidateId,
): EntryBody<"locked"> {
  return { section, candidates: [candidate], basis: basisOf(book, judge, { candidate, section }) };
}

/** What a judge has written of one child's section so far, by count: what a lock, or an answer, speaks of. By the first rules of everybody. */
export function basisOf(book: Scorebook, judge: PersonId, place: MarkedPlace): Basis {
  const basis = basisOfPerson(book.entries(), judge);
  return book.plan.rules === 1 ? basis : basisFor(basis, [place]);
}

/** A technique on its side, or what is marked once a section (`item: null`): what a judge sees together. */
type Row = Pick<Place, "section" | "item" | "side">;

/**
 * After a judge's lock nothing of theirs changes, but in a row about which the chief asked.
 * A checklist is one board, so a question about any of its items opens all of them.
 *
 * @param at  logical time: whether it was so then
 */
export function isLockedFor(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  row: Row,
  at = NOW,
): boolean {
  const { section } = row;
  if (!book.openings.hasLocked(judge, candidate, section)) return false;
  if (book.plan.rules > 1) return requestFor(book, judge, candidate, row) === undefined;
  // By the first rules what was open could be marked again by anybody, and a question opened its row until the reveal.
  if (book.openings.isRevealed(candidate, section, at)) return false;
  return !book.requests.all.some(
    ({ body }) =>
      body.ask === "blank" && body.judge === judge && isOfRow(book, body, candidate, row),
  );
}

/** The chief's open question to this judge about a row, newest first; what is marked there answers it. */
export const requestFor = (
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  row: Row,
): EntryOf<"remark-asked"> | undefined =>
  book.requests.openTo(judge).findLast(({ body }) => isOfRow(book, body, candidate, row));

function isOfRow(
  book: Scorebook,
  body: EntryBody<"remark-asked">,
  candidate: CandidateId,
  { section, item, side }: Row,
): boolean {
  if (body.candidate !== candidate || body.section !== section) return false;
  const rubric = book.plan.rubricOf(candidate);
  const isList = rubric && sectionOf(rubric, section)?.marking === "checklist";
  return isList || (body.item === item && body.side === side);
}

/** Whether in each of a judge's places somebody who had it before has said it. @param predecessors  see `Openings.predecessorsIn` */
export const isSaidBefore = (
  predecessors: readonly (readonly PersonId[])[],
  hasSaid: (judge: PersonId) => boolean,
): boolean => predecessors.length > 0 && predecessors.every((before) => before.some(hasSaid));

/** The cells that a lock leaves blank: what it speaks of says nothing there, not even “not seen”. Empty for a lock that may be taken. */
export function blankAtLock(
  book: Scorebook,
  { by, body: { section, candidates, basis } }: EntryOf<"locked">,
  at = NOW,
): { candidate: CandidateId; place: Place }[] {
  return candidates.flatMap((candidate) =>
    assignedPlaces(book, by, candidate, section, at)
      .filter((place) => !book.marks.cellIn(basis, by, candidate, place))
      // What whoever had this place before has marked is asked of nobody again.
      .filter(
        (place) =>
          book.plan.rules === 1 ||
          !isSaidBefore(book.openings.predecessorsIn(by, candidate, section), (judge) =>
            Boolean(book.marks.cell(judge, candidate, place)),
          ),
      )
      .map((place) => ({ candidate, place })),
  );
}

/** What the chief asked this judge to look at again, and no mark in that candidate's section has answered since. */
export function unansweredAsks(book: Scorebook, judge: PersonId): EntryOf<"remark-asked">[] {
  if (book.plan.rules > 1) return book.requests.openTo(judge);
  const asked = book.requests.all.filter(({ body }) => body.judge === judge && body.ask === "talk");
  if (asked.length === 0) return [];
  const own = [...book.entries()].filter(
    (entry): entry is EntryOf<"mark"> => entry.by === judge && entry.kind === "mark",
  );
  return asked.filter(
    ({ lamport, body: { candidate, section } }) =>
      !own.some(
        (mark) =>
          mark.lamport > lamport &&
          mark.body.section === section &&
          mark.body.cells.some((cell) => cell.candidate === candidate),
      ),
  );
}
