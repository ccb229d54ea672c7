import type { Basis } from "../../book/counts.ts";
import type { Entries } from "../../book/entries.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { EntryId, PersonId } from "../../book/identity.ts";
import { insertByAge, keyed } from "../../book/keyed.ts";
import { History, NOW, type Stamp } from "../../book/order.ts";
import type { CandidateId, CriterionId, FaultId, SectionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { isGivenBy, isReadBy } from "../rubric/scale.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import {
  CellHistory,
  isInConflict,
  type Mark,
  type Place,
  placeKey,
  type Write,
  writeThatStands,
} from "./cell.ts";
import type { Decisions } from "./decisions.ts";
import { type EntryOf, isKnown } from "./entry.ts";
import type { Folds } from "./folds.ts";
import type { Openings } from "./openings.ts";
import type { Panel } from "./panel.ts";
import type { Plan } from "./plan.ts";
import type { Requests } from "./requests.ts";
import { isIn, type Seal, type Sealing, sealed } from "./seal.ts";

export interface FaultsSeen extends Place {
  judge: PersonId;
  candidate: CandidateId;
  faults: readonly FaultId[];
}
interface OverallWrite extends Stamp {
  judgement: number | null;
  answers: EntryId | undefined;
}
interface Overall {
  judge: PersonId;
  section: SectionId;
  writes: OverallWrite[];
}

/** What judges wrote of one candidate. */
class MarkPages {
  readonly cells = new Map<string, CellHistory>();
  /** Every scale that anything was given by. */
  readonly #scales = new Map<string, readonly [number, number]>();
  #read: { rubric: Rubric; cells: ReadonlyMap<string, CellHistory> } | undefined;
  /** By judge and section. */
  readonly overall = new Map<string, Overall>();
  readonly faults = new Map<
    string,
    { place: Place; judge: PersonId; seen: History<readonly FaultId[]> }
  >();
  readonly notes: EntryOf<"note">[] = [];

  add(cell: CellHistory, write: Write): void {
    cell.add(write);
    this.#read = undefined;
    if (write.scale) this.#scales.set(write.scale.join("/"), write.scale);
  }
  /**
   * The cells as the child is tested now: a level that was given by another scale says nothing by this one, whenever it was heard that the child is tested by it.
   * It is read again once the child is tested by its own.
   */
  readBy(rubric: Rubric | undefined): ReadonlyMap<string, CellHistory> {
    if (!rubric || [...this.#scales.values()].every((scale) => isGivenBy(rubric, scale)))
      return this.cells;
    if (this.#read?.rubric !== rubric) this.#read = { rubric, cells: readBy(rubric, this.cells) };
    return this.#read.cells;
  }
}

function readBy(rubric: Rubric, all: ReadonlyMap<string, CellHistory>): Map<string, CellHistory> {
  const read = new Map<string, CellHistory>();
  for (const [key, cell] of all) {
    const { judge, place, lock, writes } = cell;
    const said = writes.filter(({ scale }) => isReadBy(rubric, scale, place.criterion));
    const its = said.length === writes.length ? cell : new CellHistory(judge, place, lock);
    if (its !== cell) for (const write of said) its.add(write);
    if (said.length > 0) read.set(key, its);
  }
  return read;
}

/** What judges wrote, and what of it counts. */
export class Marks {
  readonly #entries: Entries<AnyEntry>;
  readonly #versions: CandidateVersions;
  readonly #plan: Plan;
  readonly #panel: Panel;
  readonly #openings: Openings;
  readonly #decisions: Decisions;
  readonly #requests: Requests;
  readonly #pages = new Map<CandidateId, MarkPages>();

  constructor(
    entries: Entries<AnyEntry>,
    versions: CandidateVersions,
    views: {
      plan: Plan;
      panel: Panel;
      openings: Openings;
      decisions: Decisions;
      requests: Requests;
    },
  ) {
    this.#entries = entries;
    this.#versions = versions;
    this.#plan = views.plan;
    this.#panel = views.panel;
    this.#openings = views.openings;
    this.#decisions = views.decisions;
    this.#requests = views.requests;
  }

  readonly folds = {
    mark: (entry) => {
      const { section, item, side } = entry.body;
      for (const { candidate, criterion, level, how } of entry.body.cells) {
        const pages = this.#write(candidate);
        const place = { section, item, side, criterion };
        const cell = keyed(
          pages.cells,
          `${entry.by}/${placeKey(place)}`,
          () => new CellHistory(entry.by, place, lockKey(entry.by, section)),
        );
        const { lamport, device, n, replaces = [] } = entry;
        const { answers, lane, scale } = entry.body;
        const write = { entry: entry.id, lamport, device, n, level, how, replaces };
        pages.add(cell, { ...write, answers, lane, scale });
      }
    },
    overall: (entry) => {
      const { candidate, section, judgement, answers } = entry.body;
      const given = keyed(
        this.#write(candidate).overall,
        lockKey(entry.by, section),
        (): Overall => ({ judge: entry.by, section, writes: [] }),
      );
      const { lamport, device, n } = entry;
      insertByAge(given.writes, { lamport, device, n, judgement, answers });
    },
    faults: (entry) => {
      const { candidate, section, item, side, criterion, faults } = entry.body;
      const place = { section, item, side, criterion };
      const kept = keyed(this.#write(candidate).faults, `${entry.by}/${placeKey(place)}`, () => ({
        place,
        judge: entry.by,
        seen: new History<readonly FaultId[]>(),
      }));
      kept.seen.offer(faults, entry);
    },
    note: (entry) => insertByAge(this.#write(entry.body.candidate).notes, entry),
  } satisfies Folds;

  #write(candidate: CandidateId): MarkPages {
    this.#versions.touch(candidate);
    return keyed(this.#pages, candidate, () => new MarkPages());
  }

  /** What this judge wrote in this cell and stands now; undefined for blank (never written, or cleared). */
  cell(judge: PersonId, candidate: CandidateId, place: Place): Write | undefined {
    const write = this.#cell(judge, candidate, place)?.stands;
    return write?.level === "cleared" ? undefined : write;
  }
  /** What this judge's lock found in this cell: of what the lock speaks of, what stood; undefined for blank. */
  cellIn(basis: Basis, judge: PersonId, candidate: CandidateId, place: Place): Write | undefined {
    const known = this.writes(judge, candidate, place).filter((write) => isIn(basis, write));
    const write = writeThatStands(known);
    return write?.level === "cleared" ? undefined : write;
  }
  writes(judge: PersonId, candidate: CandidateId, place: Place): readonly Write[] {
    return this.#cell(judge, candidate, place)?.writes ?? [];
  }
  #cell(judge: PersonId, candidate: CandidateId, place: Place): CellHistory | undefined {
    return this.#cells(candidate).get(`${judge}/${placeKey(place)}`);
  }
  #cells(candidate: CandidateId): ReadonlyMap<string, CellHistory> {
    return this.#pages.get(candidate)?.readBy(this.#plan.rubricOf(candidate)) ?? NONE;
  }
  /** Cells where two tablets of one judge disagree; that judge settles them. */
  conflicts(candidate: CandidateId): { judge: PersonId; place: Place }[] {
    return [...this.#cells(candidate).values()]
      .filter((cell) => isInConflict(cell.heads))
      .map(({ judge, place }) => ({ judge, place }));
  }
  /**
   * The marks of a candidate.
   * @param as `lock`: those that stood when their judge locked (for agreement, severity, certainty);
   *   `verdict`: with what answered a request, without late marks the chief has not let count; `now`: whatever stands, locked or not.
   */
  of(candidate: CandidateId, as: "lock" | "verdict" | "now"): Mark[] {
    const seals = new Map<string, Seal | undefined>();
    const found: Mark[] = [];
    // By the chief's word, beside whoever has the place; and what it takes the place of, which still speaks there before others.
    const letIn: Mark[] = [];
    const beneath = new Set<Mark>();
    for (const cell of this.#cells(candidate).values()) {
      const { judge, place, lock: key } = cell;
      if (!seals.has(key)) seals.set(key, this.#openings.seal(judge, candidate, place.section));
      const seal = seals.get(key);
      const write = this.#counted(candidate, cell, seal, as);
      if (!write || write.level === "cleared") continue;
      const { section, item, side, criterion } = place;
      const { level, how } = write;
      let mark: Mark = { section, item, side, criterion, judge, candidate, level, how };
      const isLetIn =
        as === "verdict" &&
        this.#plan.rules > 1 &&
        this.#lateLetIn(candidate, cell)?.(write) &&
        !(seal && sealed(seal, cell.writes).includes(write));
      if (isLetIn) {
        letIn.push(mark);
        const stood = this.#counted(candidate, cell, seal, "lock");
        if (!stood || stood.level === "cleared") continue;
        beneath.add((mark = { ...mark, level: stood.level }));
      }
      found.push(mark);
    }
    // What was not seen takes the place of nothing that was.
    const isSaid = (mark: Mark, other: Mark): boolean =>
      other.level !== "not-seen" || mark.level === "not-seen";
    const said = this.#withoutDoubles(candidate, found, placeKey, isSaid);
    return [...said.filter((mark) => !beneath.has(mark)), ...letIn];
  }
  /**
   * A lock is a word of its own, and counts whole, wherever places went. Of what is not locked one word counts in each cell of a place: that of whoever locked
   * there, else of whoever had the place last. Whoever has several places says one word, which counts as long as one of them has no other.
   */
  #withoutDoubles<Word extends { judge: PersonId; section: SectionId }>(
    candidate: CandidateId,
    words: Word[],
    cellOf: (word: Word) => string,
    isSaid: (word: Word, other: Word) => boolean = () => true,
  ): Word[] {
    if (this.#plan.rules === 1 || !this.#panel.hasReplacements) return words;
    const said = new Map(words.map((one) => [`${one.judge}/${cellOf(one)}`, one]));
    const instead = new Map<string, PersonId[][] | typeof COUNTS>();
    return words.filter((word) => {
      const { judge, section } = word;
      const places = keyed(instead, lockKey(judge, section), () =>
        this.#insteadOf(judge, candidate, section),
      );
      const isSaidBy = (one: PersonId): boolean => {
        const other = said.get(`${one}/${cellOf(word)}`);
        return other !== undefined && isSaid(word, other);
      };
      return places === COUNTS || !places.every((others) => others.some(isSaidBy));
    });
  }
  /** Of each place that this judge has had there whose words stand in it before theirs; no place for one whose place was given to another by a later word. */
  #insteadOf(
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
  ): PersonId[][] | typeof COUNTS {
    const hasLocked = (one: PersonId) => this.#openings.hasLockThatCounts(one, candidate, section);
    if (hasLocked(judge)) return COUNTS;
    if (this.#openings.isUnsaid(judge, candidate, section)) return [];
    const places = this.#openings
      .placesOf(candidate, section)
      .filter(({ speakers }) => speakers.includes(judge));
    // Whoever was given a place that a chief did not know of who opened the marks before it, in logical time.
    if (places.length === 0 && this.#openings.isHeldForGood(judge, candidate, section))
      return COUNTS;
    return places.map(({ speakers }) => {
      const last = speakers.lastIndexOf(judge);
      return speakers.filter(
        (one, at) =>
          one !== judge &&
          (at > last || hasLocked(one)) &&
          !this.#openings.isUnsaid(one, candidate, section),
      );
    });
  }
  /** What counts of one cell. */
  #counted(
    candidate: CandidateId,
    cell: CellHistory,
    seal: Seal | undefined,
    as: "lock" | "verdict" | "now",
  ): Write | undefined {
    const { writes, place } = cell;
    if (as === "now") return cell.stands;
    if (!seal) {
      const isLate = this.#plan.rules > 1 && this.#openings.isRevealed(candidate, place.section);
      if (!isLate) return cell.stands;
      const letIn = as === "verdict" ? this.#lateLetIn(candidate, cell) : undefined;
      return letIn && writeThatStands(writes.filter(letIn));
    }
    const [only] = writes;
    // The usual cell: written once, before the lock.
    if (only && writes.length === 1 && seal.every((basis) => isIn(basis, only))) return only;
    const final = sealed(seal, writes);
    if (as === "lock") return writeThatStands(final);
    const letIn = this.#lateLetIn(candidate, cell);
    if (letIn && this.#plan.rules === 1) return cell.stands;
    const more = writes.filter((write) => letIn?.(write) || this.#isReMark(candidate, cell, write));
    return writeThatStands([...final, ...more.filter((write) => !final.includes(write))]);
  }
  /** Whether a mark outside the lock counts by itself. */
  #isReMark(candidate: CandidateId, { judge, place }: CellHistory, write: Write): boolean {
    // By the first rules whatever was written after the lock did.
    if (this.#plan.rules === 1)
      return write.lamport > (this.#openings.lock(judge, candidate, place.section)?.lamport ?? NOW);
    return this.#answersFor(judge, candidate, place, write);
  }
  /**
   * Whether a write answers a request: one of the book, to this judge, that names this cell; written before the judge said to have looked again,
   * and not outside what a verdict was issued by. What lay outside one counts under none behind it, and what a judge said since takes nothing out of it.
   */
  #answersFor(
    judge: PersonId,
    candidate: CandidateId,
    place: Place,
    write: Stamp & { answers?: EntryId | undefined },
  ): boolean {
    const request = write.answers && this.#entries.get(write.answers);
    if (!request || !isKnown(request) || request.kind !== "remark-asked") return false;
    if (!this.#requests.isNamed(request, judge, candidate, place)) return false;
    const verdict = this.#decisions.verdict(candidate);
    if (verdict && !this.#liesBefore(verdict, write)) return false;
    const answer = this.#requests.answer(request.id);
    const isSaid = answer?.by === judge && (!verdict || isIn(verdict.body.basis, answer));
    return !isSaid || isIn(answer.body.basis, write);
  }
  /** Whether a write lay before whoever issued this verdict, and all that it came after. */
  #liesBefore({ id, body: { basis, candidate } }: EntryOf<"verdict">, write: Stamp): boolean {
    return (
      isIn(basis, write) &&
      this.#decisions
        .verdicts(candidate)
        .every((other) => other.id === id || !isIn(basis, other) || isIn(other.body.basis, write))
    );
  }
  /** Cells in which something stands that counts only when the chief says so: it is outside the judge's lock, and answers no request. */
  late(candidate: CandidateId): { judge: PersonId; place: Place }[] {
    return [...this.#cells(candidate).values()]
      .filter((cell) =>
        this.#plan.rules === 1
          ? isLateByClock(cell, this.#openings.lock(cell.judge, candidate, cell.place.section))
          : this.#isLate(candidate, cell),
      )
      .map(({ judge, place }) => ({ judge, place }));
  }
  #isLate(candidate: CandidateId, cell: CellHistory): boolean {
    const { judge, place, writes } = cell;
    const seal = this.#openings.seal(judge, candidate, place.section);
    if (!seal) return this.#openings.isRevealed(candidate, place.section);
    const final = sealed(seal, writes);
    const late = writes.filter(
      (write) => !final.includes(write) && !this.#isReMark(candidate, cell, write),
    );
    if (late.every((write) => seal.every((basis) => isIn(basis, write)))) return false;
    // What says the same as what counts asks nothing of anybody.
    const readings = this.#lateLetIn(candidate, cell)
      ? (["lock", "verdict"] as const)
      : (["lock"] as const);
    return (
      seal.length > 1 ||
      readings.some((as) => cell.stands?.level !== this.#counted(candidate, cell, seal, as)?.level)
    );
  }
  /** Which late writes of a cell the chief lets count: those that lay before the chief, and none that came after. Undefined for none. */
  #lateLetIn(
    candidate: CandidateId,
    { judge, place }: CellHistory,
  ): ((write: Write) => boolean) | undefined {
    const settled = this.#decisions.settledLast(candidate, lateQuestion(judge, place.section));
    if (settled?.body.decision !== "late-counts") return undefined;
    return (write) => this.#wasBefore(settled, write);
  }
  /** Whether whoever settled a question had this write before them. A settlement of before has no basis: it spoke of whatever would come, and does for ever. */
  #wasBefore({ body: { basis } }: EntryOf<"review-settled">, write: Stamp): boolean {
    return !basis || isIn(basis, write);
  }
  /** Whether a judge wrote more there, late, since the chief settled what to do with that judge's late marks: then it is asked anew. */
  isAskedAnew(settled: EntryOf<"review-settled">): boolean {
    const { question, candidate } = settled.body;
    if (this.#plan.rules === 1 || !question.startsWith(LATE)) return false;
    return [...this.#cells(candidate).values()].some((cell) => {
      const { judge, place, writes } = cell;
      if (lateQuestion(judge, place.section) !== question) return false;
      const seal = this.#openings.seal(judge, candidate, place.section);
      const final = seal ? sealed(seal, writes) : [];
      const more = writes.filter(
        (write) =>
          !this.#wasBefore(settled, write) &&
          !final.includes(write) &&
          !this.#isReMark(candidate, cell, write),
      );
      const counts = this.#counted(candidate, cell, seal, "verdict")?.level;
      return more.length > 0 && cell.stands?.level !== counts;
    });
  }
  /** What this judge said of the section as a whole, as it stands on this judge's board; null for nothing. */
  overall(judge: PersonId, candidate: CandidateId, section: SectionId): number | null {
    const given = this.#pages.get(candidate)?.overall.get(lockKey(judge, section));
    return given?.writes.at(-1)?.judgement ?? null;
  }
  /** Every overall judgement of this candidate that counts. */
  overalls(candidate: CandidateId): { judge: PersonId; section: SectionId; judgement: number }[] {
    const given = [...(this.#pages.get(candidate)?.overall.values() ?? [])].flatMap(
      ({ judge, section, writes }) => {
        const judgement = this.#countedOverall(candidate, {
          judge,
          section,
          writes,
        });
        return judgement === null || judgement === undefined ? [] : [{ judge, section, judgement }];
      },
    );
    return this.#withoutDoubles(candidate, given, ({ section }) => section);
  }
  #countedOverall(
    candidate: CandidateId,
    {
      judge,
      section,
      writes,
    }: { judge: PersonId; section: SectionId; writes: readonly OverallWrite[] },
  ): number | null | undefined {
    if (this.#plan.rules === 1) return writes.at(-1)?.judgement;
    const seal = this.#openings.seal(judge, candidate, section);
    if (!seal)
      return this.#openings.isRevealed(candidate, section) ? undefined : writes.at(-1)?.judgement;
    const place = { section, item: null, side: null, criterion: "" as CriterionId };
    return writes.findLast(
      (write) =>
        seal.every((basis) => isIn(basis, write)) ||
        this.#answersFor(judge, candidate, place, write),
    )?.judgement;
  }
  /** What this judge saw go wrong there: once the judge has locked only what the lock speaks of. */
  faults(judge: PersonId, candidate: CandidateId, place: Place): readonly FaultId[] {
    const seen = this.#pages.get(candidate)?.faults.get(`${judge}/${placeKey(place)}`)?.seen;
    return seen ? this.#faultsStanding(judge, candidate, place.section, seen) : [];
  }
  faultsOf(candidate: CandidateId): FaultsSeen[] {
    const kept = [...(this.#pages.get(candidate)?.faults.values() ?? [])];
    return kept.flatMap(({ place, judge, seen }) => {
      const faults = this.#faultsStanding(judge, candidate, place.section, seen);
      return faults.length > 0 ? [{ ...place, judge, candidate, faults }] : [];
    });
  }
  #faultsStanding(
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
    seen: History<readonly FaultId[]>,
  ): readonly FaultId[] {
    if (this.#plan.rules === 1) return seen.value ?? [];
    const seal = this.#openings.seal(judge, candidate, section);
    if (!seal) return this.#openings.isRevealed(candidate, section) ? [] : (seen.value ?? []);
    return seen.states.find(({ stamp }) => seal.every((basis) => isIn(basis, stamp)))?.value ?? [];
  }
  notes(candidate: CandidateId): readonly EntryOf<"note">[] {
    return this.#pages.get(candidate)?.notes ?? [];
  }
}

/** A lock is a word of its own. */
const COUNTS = "counts";
const NONE: ReadonlyMap<string, CellHistory> = new Map();

const lockKey = (judge: PersonId, section: SectionId): string => `${judge}/${section}`;

const LATE = "late/";
/** The key of the question whether a judge's late marks of a section count. */
export const lateQuestion = (judge: PersonId, section: SectionId): string =>
  `${LATE}${judge}/${section}`;

/** By the first rules: written before the lock, in logical time, and not spoken of by it. */
function isLateByClock({ writes }: CellHistory, lock: Sealing | undefined): boolean {
  return (
    lock !== undefined &&
    writes.some((write) => !isIn(lock.basis, write) && write.lamport <= lock.lamport)
  );
}
