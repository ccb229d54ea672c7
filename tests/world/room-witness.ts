import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import { placeKey } from "../../src/belt-test/scorebook/cell.ts";
import { type EntryOf, isKnown } from "../../src/belt-test/scorebook/entry.ts";
import { lateQuestion } from "../../src/belt-test/scorebook/marks.ts";
import type { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { Viewer } from "../../src/belt-test/scorebook/sight.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { EntryId, PersonId } from "../../src/book/identity.ts";
import type { GradingRoom } from "../../src/hub/test-room/grading-room.ts";

/** One child's section. */
interface Place {
  candidate: CandidateId;
  section: SectionId;
}
/** What counts in a cell, or of a section as a whole: one judge's. */
interface Word {
  judge: PersonId;
  /** Of the cell; the whole section is "overall". */
  cell: string;
  level: unknown;
}
/** What counted in a place after the last hand-in. */
interface Counted {
  lock: Word[];
  verdict: Word[];
  overall: Word[];
}
/** What a judge was told to be final while the marks were closed. */
interface Acknowledged {
  judge: PersonId;
  words: Word[];
}

const OVERALL = "overall";
const secret: ReadonlySet<string> = new Set([
  ...["mark", "overall", "faults", "note", "locked", "answered", "held"],
]);

/** Looks at a room after every hand-in, and remembers what was open and what counted. */
export class RoomWitness {
  readonly broken: string[] = [];
  readonly #viewers: readonly Viewer[];
  readonly #read = new Map<Viewer, number>();
  readonly #open = new Map<string, Counted>();
  readonly #acknowledged = new Map<string, Acknowledged[]>();

  constructor(viewers: readonly Viewer[]) {
    this.#viewers = viewers;
  }

  /** @param kept  what was taken of the hand-in */
  look(room: GradingRoom, kept: readonly AnyEntry[]): void {
    const { book } = room;
    for (const entry of kept)
      if (isKnown(entry) && entry.kind === "locked") this.#acknowledge(book, entry);
    for (const { candidate } of book.plan.entrants) {
      const sections = new Set(
        book.plan.rubrics.flatMap((rubric) => rubric.sections.map(({ id }) => id)),
      );
      for (const section of sections) this.#lookAt(book, { candidate, section }, kept);
    }
    for (const viewer of this.#viewers) this.#lookIn(room.feed(viewer), viewer, book);
  }

  #acknowledge(book: Scorebook, { by, body }: EntryOf<"locked">): void {
    const { section, basis } = body;
    for (const candidate of body.candidates) {
      const key = keyOf({ candidate, section });
      if (this.#open.has(key)) continue;
      const words = assignedPlaces(book, by, candidate, section).flatMap((place) => {
        const found = book.marks.cellIn(basis, by, candidate, place);
        return found ? [{ judge: by, cell: placeKey(place), level: found.level }] : [];
      });
      const before = this.#acknowledged.get(key) ?? [];
      this.#acknowledged.set(key, [...before, { judge: by, words }]);
    }
  }

  #lookAt(book: Scorebook, place: Place, kept: readonly AnyEntry[]): void {
    const key = keyOf(place);
    const before = this.#open.get(key);
    const isOpen = book.openings.isRevealed(place.candidate, place.section);
    if (!isOpen) {
      if (before) this.broken.push(`${key} was open and is closed`);
      return;
    }
    const now = countedIn(book, place);
    this.#open.set(key, now);
    if (before) {
      this.#compare(book, place, { before, now, kept });
      return;
    }
    this.#lookWhole(book, place, now);
    this.#lookForWhomItWaited(book, place);
  }

  #compare(
    book: Scorebook,
    place: Place,
    { before, now, kept }: { before: Counted; now: Counted; kept: readonly AnyEntry[] },
  ): void {
    for (const what of ["lock", "verdict", "overall"] as const)
      for (const word of difference(before[what], now[what])) {
        const says = kept.some(
          (entry) =>
            (what !== "lock" && isAnswer(book, entry, place, word)) ||
            (what === "verdict" &&
              isSettled(book, entry, place, { word, before: before.verdict, now: now.verdict })),
        );
        if (!says)
          this.broken.push(
            `${keyOf(place)}: what counts (${what}) of ${word.judge} in ${word.cell} was ${levelIn(before[what], word)} and is ${levelIn(now[what], word)}`,
          );
      }
  }

  #lookWhole(book: Scorebook, { candidate, section }: Place, now: Counted): void {
    const key = keyOf({ candidate, section });
    for (const { judge, words } of this.#acknowledged.get(key) ?? []) {
      // Of two tablets that did not know each other's lock only what both say counts, and the chief is asked about the rest.
      if (book.openings.locks(judge, candidate, section).length > 1) continue;
      for (const word of words)
        if (levelIn(now.verdict, word) !== String(word.level))
          this.broken.push(
            `${key}: ${judge} had locked ${word.level} in ${word.cell}, and ${levelIn(now.verdict, word)} counts`,
          );
    }
  }

  /** Where locks opened the marks, each judge has locked, or somebody whose own place is another's now: whoever has a place of their own locks for that one. */
  #lookForWhomItWaited({ plan, panel, openings }: Scorebook, { candidate, section }: Place): void {
    if (plan.isClosed || openings.openedByChief(candidate, section).length > 0) return;
    const judges = panel.judgesOf(candidate, section);
    const hasLocked = (judge: PersonId) => openings.hasLocked(judge, candidate, section);
    const isForAnother = [...openings.locksOf(candidate, section).keys()].some(
      (judge) => !judges.includes(judge) || panel.successor(judge) !== judge,
    );
    for (const judge of judges)
      if (!hasLocked(judge) && !isForAnother)
        this.broken.push(`${keyOf({ candidate, section })} was opened without ${judge}`);
  }

  #lookIn(feed: ReturnType<GradingRoom["feed"]>, viewer: Viewer, book: Scorebook): void {
    const lines = feed.after(this.#read.get(viewer) ?? 0);
    this.#read.set(viewer, feed.length);
    const [role] = viewer.roles;
    for (const { entry } of lines) {
      if (entry.by === viewer.person || !secret.has(entry.kind)) continue;
      const maySee = role === "chief" || role === "judge";
      for (const place of placesOf(entry))
        if (!maySee || !book.openings.isRevealed(place.candidate, place.section))
          this.broken.push(
            `${viewer.person} was sent ${entry.by}'s ${entry.kind} of ${keyOf(place)}`,
          );
    }
  }
}

const keyOf = ({ candidate, section }: Place): string => `${candidate}/${section}`;

function placesOf(entry: AnyEntry): Place[] {
  const { section, candidate, candidates, cells } = entry.body as {
    section: SectionId;
    candidate?: CandidateId;
    candidates?: CandidateId[];
    cells?: { candidate: CandidateId }[];
  };
  const named =
    cells?.map((cell) => cell.candidate) ?? candidates ?? (candidate ? [candidate] : []);
  return named.map((one) => ({ candidate: one, section }));
}

function countedIn({ marks }: Scorebook, { candidate, section }: Place): Counted {
  const of = (as: "lock" | "verdict"): Word[] =>
    marks
      .of(candidate, as)
      .filter((mark) => mark.section === section)
      .map((mark) => ({ judge: mark.judge, cell: placeKey(mark), level: mark.level }));
  const overall = marks
    .overalls(candidate)
    .filter((one) => one.section === section)
    .map(({ judge, judgement }) => ({ judge, cell: OVERALL, level: judgement }));
  return { lock: of("lock"), verdict: of("verdict"), overall };
}

const levelIn = (words: readonly Word[], { judge, cell }: Word): string =>
  words
    .filter((one) => one.judge === judge && one.cell === cell)
    .map(({ level }) => String(level))
    .join(" and ") || "nothing";

/** One word of each cell that is not as it was. */
function difference(before: readonly Word[], now: readonly Word[]): Word[] {
  const cells = new Map([...before, ...now].map((word) => [`${word.judge} ${word.cell}`, word]));
  return [...cells.values()].filter((word) => levelIn(before, word) !== levelIn(now, word));
}

/**
 * Whether a line says something of a cell that was asked about again: a mark anew, “looked again”, or the verdict that one came too late for. Of a place that
 * two have had in turn one word counts, so what one of them says then may take the other's place, or leave it.
 */
function isAnswer(book: Scorebook, entry: AnyEntry, place: Place, word: Word): boolean {
  if (!isKnown(entry)) return false;
  const asks = book.requests.all.filter(
    ({ body }) =>
      body.candidate === place.candidate &&
      body.section === place.section &&
      isOfOnePlace(book, body.judge, word.judge),
  );
  const isAsked = (id: EntryId | undefined): boolean =>
    isOfOnePlace(book, entry.by, word.judge) && asks.some((one) => one.id === id);
  switch (entry.kind) {
    case "mark":
    case "overall":
      return isAsked(entry.body.answers);
    case "answered":
      return isAsked(entry.body.request);
    case "verdict":
      return entry.body.candidate === place.candidate && asks.length > 0;
    default:
      return false;
  }
}
/** Whether one of two ever took the other's place, or they are the same. */
const isOfOnePlace = ({ panel }: Scorebook, a: PersonId, b: PersonId): boolean =>
  a === b ||
  panel.predecessors(a).includes(b) ||
  panel.predecessors(b).includes(a) ||
  // Also where another line gave that place to somebody else since.
  panel.replacements.some(({ body }) => [a, b].includes(body.judge) && [a, b].includes(body.by));

/**
 * Whether a line lets this judge's late marks count there, or not; or those of somebody who had the same place, by which that one says something in this cell
 * that said nothing, or the other way round.
 */
function isSettled(
  book: Scorebook,
  entry: AnyEntry,
  { candidate, section }: Place,
  { word, before, now }: { word: Word; before: readonly Word[]; now: readonly Word[] },
): boolean {
  if (!isKnown(entry) || entry.kind !== "review-settled") return false;
  const { body } = entry;
  if (body.candidate !== candidate) return false;
  return book.plan.seats
    .map(({ person }) => person)
    .filter((judge) => body.question === lateQuestion(judge, section))
    .some((judge) => {
      if (judge === word.judge) return true;
      const theirs = { ...word, judge };
      return isOfOnePlace(book, judge, word.judge) && says(before, theirs) !== says(now, theirs);
    });
}
const says = (words: readonly Word[], word: Word): boolean =>
  !["nothing", "not-seen"].includes(levelIn(words, word));
