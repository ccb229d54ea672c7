import type { Fault } from "../../book/faults.ts";
import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { kindsThatAre, rowOf } from "../kinds/all-kinds.ts";
import type { Role } from "../kinds/body-parts.ts";
import { criteriaAt, itemOf, levelsAt, markedSides, sectionOf } from "../rubric/lookup.ts";
import { assignedPlaces } from "./assigned-places.ts";
import type { Place } from "./cell.ts";
import { deviceOf } from "./counts.ts";
import { type AnyEntry, type Entry, type EntryOf, isKnown } from "./entry.ts";
import { isShutTo } from "./is-shut-to.ts";
import { blankAtLock, isLockedFor } from "./judge-view.ts";
import { highestTaken } from "./lamport-leap.ts";
import { movedOpening } from "./moved-opening.ts";
import { isOutOfTurn } from "./out-of-turn.ts";
import { refusalOfAway, refusalOfExcuse, refusalOfReentry } from "./refusal-after-marks.ts";
import { refusalOfBasis } from "./refusal-of-basis.ts";
import {
  refusalOfCorrection,
  refusalOfLanes,
  refusalOfOpening,
  refusalOfRelease,
  refusalOfSections,
  refusalOfStranger,
  refusalOfUnseated,
} from "./refusal-of-nothing.ts";
import { rubricMisfit } from "./rubric-replacement.ts";
import type { Scorebook } from "./scorebook.ts";
import { isIn } from "./seal.ts";

/** Who writes, as the hub knows it from the token, not from the entry. */
export interface Writer {
  person: PersonId;
  roles: readonly Role[];
  /** The hub itself: no device on the line, and nobody's file. */
  isHubs?: boolean;
}

/** What may still be written when the chief has closed the test: a correction, and the sheet that says it. */
const openAfterClosing = kindsThatAre("after-closing");

/**
 * Whether this writer may write this entry into this book now.
 *
 * Safety comes first: a stop, an incident and a withdrawal are never refused to anybody admitted, whatever the state of the test.
 * Entries of unknown kinds are let through for every admitted writer, so that next year's tablet loses nothing at this year's hub.
 * What was written before the closing may come after it; so may what a judge wrote before the plan changed: by the plan of now or by that of then.
 * Lateness is no ground for refusal: late marks are kept, shown, and need the chief (design §4).
 *
 * @param known  the highest logical time there is, where that is more than the book holds
 * @returns null when permitted; else the fault, with what its sentence needs.
 */
export function refusal(
  book: Scorebook,
  writer: Writer,
  entry: AnyEntry,
  known = book.lamport,
): Fault | null {
  if (entry.by !== writer.person) return { code: "NOT_YOURS" };
  if (isTooFarAhead(writer, entry, Math.max(known, book.lamport)))
    return { code: "LAMPORT_TOO_HIGH" };
  if (!isKnown(entry)) return null;
  const may = rowOf(entry.kind).writers;
  if (may === "anyone" || isHubsWord(writer, entry)) return null;
  if (!may.some((role) => writer.roles.includes(role)))
    return { code: "ROLE_MISSING", with: { kind: entry.kind } };
  return (
    refusalOfClosed(book, entry) ??
    refusalOfLateAnchor(book, entry) ??
    refusalNowAndThen(book, writer, entry)
  );
}

/** Who came in as whom is said by the hub, at any time of the test, in the chief's name. */
const isHubsWord = ({ isHubs, roles }: Writer, { kind }: Entry): boolean =>
  kind === "let-in" && isHubs === true && roles.includes("chief");

/** Whoever is chief is believed about how late it is: a hub that was put back from an older copy knows no better, and everybody waits for it. */
function isTooFarAhead({ roles }: Writer, entry: AnyEntry, known: number): boolean {
  const word = roles.includes("chief") ? "chief" : isOutOfTurn(entry) ? "anyone" : "other";
  return entry.lamport > highestTaken(known, word);
}

/** After the closing nothing is marked, called or planned; a verdict is a correction then, and needs a reason. */
function refusalOfClosed(book: Scorebook, entry: Entry): Fault | null {
  const { closing } = book.plan;
  // Logical time, not arrival: a tablet that was away hands in what it wrote before.
  if (!closing || isBefore(book, entry, closing.lamport)) return null;
  if (!openAfterClosing.has(entry.kind)) return { code: "GRADING_CLOSED" };
  return entry.kind === "verdict" && !entry.body.reason ? { code: "REASON_MISSING" } : null;
}

/** A mark does not make logical time go on, so one that bears the closing's own was written by somebody who had heard of it. */
const isBefore = (book: Scorebook, { kind, lamport }: Entry, closing: number): boolean =>
  book.plan.rules > 1 && isMarkLike.has(kind) ? lamport < closing : lamport <= closing;
const isMarkLike = kindsThatAre("untimed");

/**
 * From the first call on nobody adds to what anchors say: whoever has watched the candidates no longer judges them with the same eye.
 * Taking one back, and bringing it back as it was, add nothing.
 */
function refusalOfLateAnchor(book: Scorebook, entry: Entry): Fault | null {
  const first = book.floor.calls[0];
  // Logical time, not arrival, as at the closing.
  if (!first || entry.lamport <= first.lamport) return null;
  switch (entry.kind) {
    case "anchor-agreed":
    case "anchor-marked":
      return { code: "ANCHOR_LATE" };
    case "anchor-set": {
      const { anchor, rubric, section, isOpen } = entry.body;
      const its = book.standards.anchor(anchor);
      const isAsItWas = its?.rubric === rubric && its.section === section;
      return isOpen && !isAsItWas ? { code: "ANCHOR_LATE" } : null;
    }
    default:
      return null;
  }
}

/**
 * The order in which entries arrive decides nothing: a judge who was replaced, a rubric that was, an anchor that was closed
 * do not shut out what was written before, in logical time.
 */
function refusalNowAndThen(book: Scorebook, writer: Writer, entry: Entry): Fault | null {
  const fault = refusalOfBody(book, writer, entry, NOW);
  // What makes logical time go on was written by somebody who had not come to that moment yet; a mark perhaps, where a hub had taken it before.
  const isEarlier = book.plan.rules > 1 && (!isMarkLike.has(entry.kind) || book.isAwaited(entry));
  const seen = isEarlier ? entry.lamport - 1 : entry.lamport;
  return fault && refusalOfBody(book, writer, entry, seen) ? fault : null;
}

/** @param at  logical time of the plan by which is judged */
function refusalOfBody(book: Scorebook, writer: Writer, entry: Entry, at: number): Fault | null {
  switch (entry.kind) {
    case "mark":
      return refusalOfMark(book, entry, at);
    case "overall":
    case "faults":
    case "note": {
      const { candidate, section } = entry.body;
      return (
        refusalOfJudging(book, entry, candidate, section, at) ??
        (entry.kind === "overall"
          ? refusalOfLocked(book, entry, candidate, { section, ...onceASection }, at)
          : entry.kind === "faults"
            ? refusalOfFaults(book, entry, at)
            : null)
      );
    }
    case "answered": {
      const { request: id, candidate } = entry.body;
      const request = book.entry(id);
      const isTheirs =
        request &&
        isKnown(request) &&
        request.kind === "remark-asked" &&
        request.body.candidate === candidate &&
        [request.body.judge, book.panel.successor(request.body.judge)].includes(entry.by);
      if (!isTheirs) return { code: "REQUEST_OTHER" };
      return book.requests.answer(id) ? { code: "REQUEST_ANSWERED" } : refusalOfBasis(book, entry);
    }
    case "locked": {
      const candidate =
        book.plan.rules === 1 ? overtakenFor(book, entry) : lockedBefore(book, entry);
      if (candidate)
        return { code: "ALREADY_LOCKED", with: { candidate, section: entry.body.section } };
      const { candidates, section } = entry.body;
      const several = book.plan.rules === 1 ? null : refusalOfSeveral(candidates);
      if (several) return several;
      for (const one of candidates) {
        const fault = refusalOfJudging(book, entry, one, section, at);
        if (fault) return fault;
      }
      const unfit =
        book.plan.rules === 1
          ? null
          : (refusalOfBasis(book, entry) ??
            refusalOfLockByPredecessor(book, entry) ??
            refusalOfLockInThePast(book, entry) ??
            refusalOfLockBeforeThePlan(book, entry));
      if (unfit) return unfit;
      const [blank] = blankAtLock(book, entry, at);
      return blank
        ? { code: "CELL_BLANK", with: { candidate: blank.candidate, section: entry.body.section } }
        : null;
    }
    case "lanes-swapped":
      return book.plan.rules === 1 ? null : refusalOfSwap(book, entry);
    case "assigned":
      return book.plan.rules === 1
        ? null
        : (refusalOfUnseated(book, entry.body.judge) ?? refusalOfAssigned(book, entry));
    case "held":
    case "held-sealed":
      // Once the opening is here, a hub has said what it held there.
      return book.entry(entry.body.of) ? { code: "HELD_ALREADY" } : null;
    case "frozen": {
      const { id } = entry.body.rubric;
      // Once the test is open a rubric is replaced, with a reason; another may still be added.
      return book.plan.isStarted && book.plan.rubric(id) ? { code: "REASON_MISSING" } : null;
    }
    case "rubric-replaced": {
      const { rubric } = entry.body;
      const misfit = rubricMisfit(book, rubric);
      if (!misfit) return null;
      const code =
        misfit === "unknown"
          ? ("RUBRIC_UNKNOWN" as const)
          : misfit === "verdict-issued"
            ? ("VERDICT_ISSUED" as const)
            : ("RUBRIC_MISFIT" as const);
      return { code, with: { rubric: rubric.id } };
    }
    case "entered": {
      // Of somebody without a rubric nothing can be asked, marked or said. A book by the first rules goes on as it was begun.
      const { candidate, rubric } = entry.body;
      if (book.plan.rules === 1) return null;
      // Whoever erases the child would erase the person, and every reason filed under them.
      if (book.plan.seat(candidate as string as PersonId))
        return {
          code: "ENTRY_MALFORMED",
          with: { path: "body.candidate", detail: "the id of somebody on the panel" },
        };
      return book.plan.rubric(rubric)
        ? refusalOfReentry(book, writer, entry, at)
        : { code: "RUBRIC_UNKNOWN", with: { rubric } };
    }
    case "absent":
    case "unfit": {
      const { candidate } = entry.body;
      return refusalOfStranger(book, candidate) ?? refusalOfAway(book, writer, entry, at);
    }
    case "recused":
      return (
        refusalOfStranger(book, entry.body.candidate) ??
        (book.plan.rules === 1 ? null : refusalOfRecusal(book, entry, at))
      );
    case "judge-replaced":
      return book.plan.rules === 1
        ? null
        : (refusalOfUnseated(book, entry.body.by) ?? refusalOfMovedOpening(book, entry));
    case "lined-up":
      return book.plan.rules === 1 ? null : refusalOfLanes(book, entry);
    case "revealed":
      return refusalOfOpening(book, entry, at);
    case "excused":
      return (
        refusalOfStranger(book, entry.body.candidate) ??
        (book.plan.rules === 1 ? null : refusalOfExcuse(book, writer, entry, at))
      );
    case "related":
    case "checked-in":
    case "expected":
    case "sheet-edited":
    case "review-settled":
      return refusalOfStranger(book, entry.body.candidate);
    case "remark-asked": {
      const { candidate, section, ask } = entry.body;
      const stranger = refusalOfStranger(book, candidate);
      if (stranger) return stranger;
      const mayAsk =
        book.openings.isRevealed(candidate, section, at) ||
        (ask === "blank" &&
          (book.plan.rules === 1 ? isUnseen(book, entry, at) : isToldUnseen(book, entry)));
      return mayAsk ? null : { code: "NOT_REVEALED" };
    }
    case "verdict": {
      const { candidate, retestSections, result, computed, reason } = entry.body;
      const nothing =
        refusalOfStranger(book, candidate) ??
        refusalOfSections(book, candidate, retestSections, at);
      return nothing ?? (result !== computed && !reason ? { code: "REASON_MISSING" } : null);
    }
    case "sheet-released":
      return refusalOfStranger(book, entry.body.candidate) ?? refusalOfRelease(book, entry);
    case "correction":
      return refusalOfCorrection(book, entry);
    case "anchor-set": {
      const { rubric: id, section } = entry.body;
      const rubric = book.plan.rubric(id);
      if (!rubric) return { code: "RUBRIC_UNKNOWN", with: { rubric: id } };
      return sectionOf(rubric, section)
        ? null
        : { code: "ITEM_UNKNOWN", with: { section, item: "", rubric: id } };
    }
    case "anchor-agreed":
    case "anchor-marked":
      return refusalOfAnchorMarks(book, entry, at);
    case "severity-kept":
      return refusalOfUnseated(book, entry.body.judge);
    case "judge-told":
      return (
        refusalOfUnseated(book, entry.body.judge) ??
        (book.decisions.isReleased ? null : { code: "NOT_RELEASED" })
      );
    // Who may write these may write anything in them.
    case "opened":
    case "faults-frozen":
    case "seated":
    case "started":
    case "closed":
    case "called":
    case "paused":
    case "resumed":
    case "floor-cleared":
    case "stopped":
    case "incident":
    case "withdrawn":
    case "severities-used":
    case "erased":
    case "let-in":
      return null;
    default:
      throw new RangeError(`refusalOfBody: ${(entry satisfies never as AnyEntry).kind} is no kind`);
  }
}

/** Of a section that the child is asked for, and at a moment that leaves nobody out. What is so already moves nothing. */
function refusalOfRecusal(book: Scorebook, entry: EntryOf<"recused">, at: number): Fault | null {
  const { candidate, section } = entry.body;
  if (book.panel.isRecused(entry.by, candidate, section, entry.lamport)) return null;
  return (
    (section === null ? null : refusalOfSections(book, candidate, [section], at)) ??
    refusalOfMovedOpening(book, entry)
  );
}

/** Two children of one wave; who left the wave since is passed over, as the swap itself is. */
function refusalOfSwap(
  book: Scorebook,
  { lamport, body: { wave, candidates } }: EntryOf<"lanes-swapped">,
): Fault | null {
  const [one, other] = candidates;
  const lanes = book.plan.lanes(wave);
  const stray = one === other ? one : candidates.find((candidate) => !lanes.includes(candidate));
  if (stray === undefined || lamport < book.plan.linedUpAt(wave)) return null;
  return { code: "LANE_OTHER", with: { candidate: stray, wave } };
}

function refusalOfAnchorMarks(
  book: Scorebook,
  { body: { anchor, marks }, kind }: EntryOf<"anchor-agreed" | "anchor-marked">,
  at: number,
): Fault | null {
  const its = book.standards.anchor(anchor, at);
  const rubric = its && book.plan.rubric(its.rubric);
  const section = its && rubric && sectionOf(rubric, its.section);
  if (!rubric || !section || (kind === "anchor-marked" && !its.isOpen))
    return { code: "ANCHOR_UNKNOWN" };
  for (const { item: id, side, criterion, level } of marks) {
    const item = id === null ? null : itemOf(section, id);
    if (item === undefined || !markedSides(item).includes(side))
      return {
        code: "ITEM_UNKNOWN",
        with: { section: section.id, item: id ?? "", rubric: rubric.id },
      };
    if (!criteriaAt(section, item).includes(criterion))
      return { code: "CRITERION_NOT_ASKED", with: { item: id ?? "", criterion } };
    if (level > levelsAt(rubric, section))
      return { code: "LEVEL_OUT_OF_SCALE", with: { level, highest: levelsAt(rubric, section) } };
  }
  return null;
}

/** What is written of one child never waits for another's. */
function refusalOfSeveral(candidates: readonly CandidateId[]): Fault | null {
  return new Set(candidates).size > 1 ? { code: "ONE_CANDIDATE" } : null;
}

/** Nobody is added where the marks are open. Nor is the plan written anew of before they were opened. */
function refusalOfAssigned(book: Scorebook, entry: EntryOf<"assigned">): Fault | null {
  const { lamport, body } = entry;
  const { judge, section, candidates } = body;
  for (const candidate of candidates) {
    const opened = book.openings.openedAt(candidate, section);
    if (opened === undefined) continue;
    if (isShutTo(book, judge, candidate, section) || lamport <= opened)
      return { code: "SECTION_OPEN", with: { candidate, section } };
  }
  return refusalOfMovedOpening(book, entry);
}

/** A lock that comes when the marks are open, and says to be from before that, would change what they were opened on. Whatever the hub held of a judge counts as it was. */
function refusalOfLockInThePast(book: Scorebook, entry: EntryOf<"locked">): Fault | null {
  const { by, lamport } = entry;
  const { section, candidates } = entry.body;
  const candidate = candidates.find(
    (one) =>
      lamport <= (book.openings.openedAt(one, section) ?? 0) &&
      book.openings.seal(by, one, section) === undefined &&
      !isKnownToChief(book, entry, one),
  );
  return candidate ? { code: "SECTION_OPEN", with: { candidate, section } } : null;
}

/**
 * Whether the chief had this lock before deciding: then it comes again, to a hub that was put back from an older copy and heard the chief first.
 * By count, of which each place is filled once.
 */
const isKnownToChief = (
  book: Scorebook,
  lock: EntryOf<"locked">,
  candidate: CandidateId,
): boolean =>
  [book.decisions.verdict(candidate)?.body.basis, book.plan.closing?.body.basis].some(
    (basis) => basis && isIn(basis, lock),
  );

/** Whose place was given to another there locks no more, whenever it was written: what the hub held is final, and the place waits for the successor's word. */
function refusalOfLockByPredecessor(book: Scorebook, entry: EntryOf<"locked">): Fault | null {
  const { by } = entry;
  const { section, candidates } = entry.body;
  // A hub that lost it had taken it before.
  if (book.isAwaited(entry)) return null;
  const candidate = candidates.find((one) => {
    const judges = book.panel.judgesOf(one, section);
    return (
      !judges.includes(by) && judges.some((judge) => book.panel.predecessors(judge).includes(by))
    );
  });
  return candidate ? { code: "NOT_ASSIGNED", with: { candidate, section } } : null;
}

/** Of locks, which are many, only those are tried that are older than the plan. */
function refusalOfLockBeforeThePlan(book: Scorebook, entry: EntryOf<"locked">): Fault | null {
  const { section, candidates } = entry.body;
  // A hub that lost it had taken it before, and what it opened was open when the plan was changed.
  if (book.isAwaited(entry)) return null;
  const isOlder = candidates.some((one) => entry.lamport < book.panel.plannedAt(one, section));
  return isOlder ? refusalOfMovedOpening(book, entry) : null;
}

/** What is older than the plan, or than what others locked, opens nothing before it: nobody's lock is to count for nothing because of a line that comes late. */
function refusalOfMovedOpening(
  book: Scorebook,
  entry: EntryOf<"assigned" | "judge-replaced" | "recused" | "locked">,
): Fault | null {
  const moved = book.plan.rules === 1 ? undefined : movedOpening(book, entry);
  if (!moved) return null;
  const { candidate, section, why } = moved;
  return {
    code: why === "open" ? "SECTION_OPEN" : "PLAN_OLDER",
    with: { candidate, section },
  };
}

const lockedBefore = (book: Scorebook, { by, body }: EntryOf<"locked">): CandidateId | undefined =>
  body.candidates.find((candidate) => book.openings.hasLocked(by, candidate, body.section));

type JudgeEntry = EntryOf<"mark" | "overall" | "faults" | "note" | "locked">;

function refusalOfJudging(
  book: Scorebook,
  entry: JudgeEntry,
  candidate: CandidateId,
  section: SectionId,
  at: number,
): Fault | null {
  const stranger = refusalOfStranger(book, candidate);
  if (stranger) return stranger;
  if (book.panel.isRecused(entry.by, candidate, section, at))
    return { code: "RECUSED", with: { candidate } };
  if (!book.panel.judgesOf(candidate, section, at).includes(entry.by))
    return { code: "NOT_ASSIGNED", with: { candidate, section } };
  return null;
}

/** A mark written before the lock may still arrive after it. */
function refusalOfLocked(
  book: Scorebook,
  entry: JudgeEntry,
  candidate: CandidateId,
  row: Pick<Place, "section" | "item" | "side">,
  at: number,
): Fault | null {
  const { section } = row;
  const lock = book.openings.lock(entry.by, candidate, section);
  if (book.plan.rules > 1) {
    const fault: Fault = { code: "ALREADY_LOCKED", with: { candidate, section } };
    // Its place in the count was passed over when the lock was taken: what stood at the lock stays what it was.
    // But for what the hub had held before it was put back from an older copy: that comes again.
    const isInSeal = book.openings
      .seal(entry.by, candidate, section)
      ?.some((basis) => isIn(basis, entry));
    if (isInSeal) return book.isAwaited(entry) ? null : fault;
    if (!book.isAwaited(entry) && book.isPassedOver(entry, candidate)) return fault;
    const answers = entry.kind === "mark" || entry.kind === "overall" ? entry.body.answers : null;
    if (!lock || answers || book.openings.isRevealed(candidate, section)) return null;
    // Another tablet of this judge may have written it before it heard of the lock: then it is late, and the chief says whether it counts.
    const isOfOneDevice = deviceOf(entry.device) === deviceOf(lock.device);
    return isOfOneDevice || entry.lamport > lock.lamport ? fault : null;
  }
  if (!lock || entry.lamport <= lock.lamport) return null;
  return isLockedFor(book, entry.by, candidate, row, at)
    ? { code: "ALREADY_LOCKED", with: { candidate, section } }
    : null;
}

/**
 * A device hands in its locks in the order of its count, but for one that was not taken and is offered again: where a later one of the same
 * device stands, that earlier one would change what stood at the lock.
 */
const overtakenFor = (
  book: Scorebook,
  { by, device, n, body }: EntryOf<"locked">,
): CandidateId | undefined =>
  body.candidates.find((candidate) => {
    const lock = book.openings.lock(by, candidate, body.section);
    return lock?.device === device && lock.n > n;
  });

const onceASection = { item: null, side: null };

/** Whether a cell the chief asks about is blank or “not seen”, or was when it was asked: before the reveal no other may be asked about. */
function isUnseen(
  book: Scorebook,
  { lamport, body }: EntryOf<"remark-asked">,
  at: number,
): boolean {
  const { judge, candidate, section, item, side, criterion } = body;
  return assignedPlaces(book, judge, candidate, section, at).some((place) => {
    if (place.item !== item || place.side !== side) return false;
    if (criterion !== null && place.criterion !== criterion) return false;
    const mark = book.marks.cell(judge, candidate, place);
    if (!mark || mark.level === "not-seen") return true;
    // It may have been blank when it was asked; after the lock nothing was.
    return mark.lamport > lamport && !book.openings.hasLocked(judge, candidate, section);
  });
}

/**
 * By the second rules a judge is asked before the reveal only where the asking can tell nothing: when everything of that child's section is filled,
 * about what is not seen.
 */
function isToldUnseen(book: Scorebook, { body }: EntryOf<"remark-asked">): boolean {
  const { judge, candidate, section, item, side, criterion } = body;
  const places = assignedPlaces(book, judge, candidate, section);
  const isFilled =
    places.length > 0 && places.every((place) => book.marks.cell(judge, candidate, place));
  return (
    (isFilled || book.openings.hasLocked(judge, candidate, section)) &&
    places.some(
      (place) =>
        place.item === item &&
        place.side === side &&
        (criterion === null || place.criterion === criterion) &&
        (book.marks.cell(judge, candidate, place)?.level ?? "not-seen") === "not-seen",
    )
  );
}

function refusalOfMark(book: Scorebook, entry: EntryOf<"mark">, at: number): Fault | null {
  const { section: sectionId, item: itemId, side, cells } = entry.body;
  const several = book.plan.rules > 1 && refusalOfSeveral(cells.map(({ candidate }) => candidate));
  if (several) return several;
  // Of two words on one cell in one entry nobody could say which is the later.
  const isTwice = new Set(cells.map(({ criterion }) => criterion)).size < cells.length;
  if (book.plan.rules > 1 && isTwice)
    return { code: "ENTRY_MALFORMED", with: { path: "body.cells", detail: "a cell named twice" } };
  for (const { candidate, criterion, level } of cells) {
    const fault =
      refusalOfJudging(book, entry, candidate, sectionId, at) ??
      refusalOfLocked(book, entry, candidate, { section: sectionId, item: itemId, side }, at);
    if (fault) return fault;
    const unasked = refusalOfUnasked(
      book,
      candidate,
      { section: sectionId, item: itemId, side, criterion },
      at,
    );
    if (unasked) return unasked;
    const rubric = book.plan.rubricOf(candidate, at);
    const section = rubric && sectionOf(rubric, sectionId);
    if (section && typeof level === "number" && level > levelsAt(rubric, section))
      return { code: "LEVEL_OUT_OF_SCALE", with: { level, highest: levelsAt(rubric, section) } };
  }
  return null;
}

/** What a judge saw goes wrong is said of a place that is marked, and lies under the lock as the mark does. By the first rules it lay outside. */
function refusalOfFaults(book: Scorebook, entry: EntryOf<"faults">, at: number): Fault | null {
  if (book.plan.rules === 1) return null;
  const { candidate, section, item, side, criterion } = entry.body;
  return (
    refusalOfLocked(book, entry, candidate, { section, item, side }, at) ??
    refusalOfUnasked(book, candidate, { section, item, side, criterion }, at)
  );
}

/** Whether the candidate's rubric asks for nothing at this place. */
function refusalOfUnasked(
  book: Scorebook,
  candidate: CandidateId,
  { section: sectionId, item: itemId, side, criterion }: Place,
  at: number,
): Fault | null {
  const rubric = book.plan.rubricOf(candidate, at);
  if (!rubric) return { code: "RUBRIC_UNKNOWN", with: { candidate } };
  const section = sectionOf(rubric, sectionId);
  const item = section && itemId !== null ? itemOf(section, itemId) : null;
  if (!section || item === undefined || !markedSides(item).includes(side)) {
    return {
      code: "ITEM_UNKNOWN",
      with: { section: sectionId, item: itemId ?? "", rubric: rubric.id },
    };
  }
  return criteriaAt(section, item).includes(criterion)
    ? null
    : { code: "CRITERION_NOT_ASKED", with: { item: itemId ?? "", criterion } };
}
