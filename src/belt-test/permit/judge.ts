import { deviceOf } from "../../book/counts.ts";
import type { Fault } from "../../book/faults.ts";
import type { CandidateId, CriterionId } from "../identity.ts";
import type { judgeKinds } from "../kinds/judge.ts";
import type { MarkedPlace } from "../kinds/marked-place.ts";
import { misfitOf } from "../rubric/misfit.ts";
import { isReadBy } from "../rubric/scale.ts";
import type { Place } from "../scorebook/cell.ts";
import { type EntryOf, isKnown } from "../scorebook/entry.ts";
import { isLockedFor } from "../scorebook/judge-view.ts";
import { misfitFault } from "../scorebook/misfit-fault.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";
import { refusalOfWhatItSpeaksOf } from "./basis.ts";
import { refusalOfMarking, refusalOfSeveral } from "./judging.ts";
import { refusalOfLock } from "./locks.ts";
import { refusalOfMovedOpening } from "./moved-opening.ts";
import { type Asked, type RefusalsOf, sinceSecondRules } from "./refusals.ts";
import { refusalOfSections, refusalOfStranger } from "./strangers.ts";
import { comesAgain, isAwaited, wasHad } from "./writer.ts";

export const judgeRefusals = {
  mark: (asked, entry) => {
    const { book } = asked;
    const { section, item, side, cells } = entry.body;
    const several =
      book.plan.rules > 1 && refusalOfSeveral(cells.map(({ candidate }) => candidate));
    if (several) return several;
    // Of two words on one cell in one entry nobody could say which is the later.
    const isTwice = new Set(cells.map(({ criterion }) => criterion)).size < cells.length;
    if (book.plan.rules > 1 && isTwice)
      return {
        code: "ENTRY_MALFORMED",
        with: { path: "body.cells", detail: "a cell named twice" },
      };
    for (const { candidate, criterion, level } of cells) {
      const fault =
        refusalOfMarking(asked, entry.by, candidate, section) ??
        refusalOfLocked(asked, entry, candidate, { section, item, side }) ??
        refusalOfMisfit(asked, candidate, { section, item, side, criterion }, level) ??
        refusalOfOtherScale(asked, entry, candidate, criterion);
      if (fault) return fault;
    }
    return null;
  },
  overall: (asked, entry) => {
    const { candidate, section } = entry.body;
    return (
      refusalOfMarking(asked, entry.by, candidate, section) ??
      refusalOfLocked(asked, entry, candidate, { section, item: null, side: null })
    );
  },
  // What a judge saw go wrong is said of a place that is marked, and lies under the lock as the mark does. By the first rules it lay outside.
  faults: (asked, entry) => {
    const { candidate, section } = entry.body;
    return (
      refusalOfMarking(asked, entry.by, candidate, section) ??
      (asked.book.plan.rules === 1
        ? null
        : (refusalOfLocked(asked, entry, candidate, entry.body) ??
          refusalOfMisfit(asked, candidate, entry.body)))
    );
  },
  note: (asked, { by, body: { candidate, section } }) =>
    refusalOfMarking(asked, by, candidate, section),
  related: ({ book }, { body }) => refusalOfStranger(book, body.candidate),
  recused: (asked, entry) =>
    refusalOfStranger(asked.book, entry.body.candidate) ?? ofSteppingBack(asked, entry),
  locked: refusalOfLock,
  answered: (asked, entry) => {
    const { book } = asked;
    const { request: id, candidate } = entry.body;
    const request = book.entry(id);
    const isTheirs =
      request &&
      isKnown(request) &&
      request.kind === "remark-asked" &&
      request.body.candidate === candidate &&
      [request.body.judge, book.panel.successor(request.body.judge)].includes(entry.by);
    if (!isTheirs) return { code: "REQUEST_OTHER" };
    return book.requests.answer(id)
      ? { code: "REQUEST_ANSWERED" }
      : refusalOfWhatItSpeaksOf(asked, entry);
  },
} satisfies RefusalsOf<typeof judgeKinds>;

/** Of a section that the child is asked for, and at a moment that leaves nobody out. What is so already moves nothing. */
const ofSteppingBack = sinceSecondRules(
  ({ book, writer, at }: Asked, entry: EntryOf<"recused">): Fault | null => {
    const { candidate, section } = entry.body;
    if (book.panel.isRecused(entry.by, candidate, section, entry.lamport)) return null;
    const unknown = section === null ? null : refusalOfSections(book, candidate, [section], at);
    // It comes again, to a hub that was put back from an older copy; what opened the marks there says that it had been here.
    const hasSteppedBack = isAwaited(book, writer, entry)
      ? steppedBackAt(book, entry)
      : () => false;
    const moved = unknown ?? refusalOfMovedOpening(book, entry, hasSteppedBack);
    if (!moved || !comesAgain(book, writer, entry)) return moved;
    // Where the marks are open here it changes nothing of them, whoever speaks of it; but on the road the chief had it when they were opened.
    return moved.code === "PLAN_OLDER" || writer.isFromRoad ? null : moved;
  },
);

/** Where a hub said of this judge, when marks were opened, what it had of them, and that nothing of it is final. */
const steppedBackAt =
  (book: Scorebook, { by }: EntryOf<"recused">) =>
  ({ candidate, section }: MarkedPlace): boolean =>
    !book.openings.hasLocked(by, candidate, section) &&
    [...book.entries()].some(
      (one) =>
        isKnown(one) &&
        one.kind === "held" &&
        one.body.late === true &&
        one.body.judge === by &&
        one.body.candidate === candidate &&
        one.body.section === section,
    );

/** Whoever had not heard that the child is tested by another scale gave levels that would mean something else. */
function refusalOfOtherScale(
  { book }: Asked,
  { body: { scale } }: EntryOf<"mark">,
  candidate: CandidateId,
  criterion: CriterionId,
): Fault | null {
  const rubric = book.plan.rubricOf(candidate);
  if (!rubric || isReadBy(rubric, scale, criterion)) return null;
  return { code: "SCALE_OTHER", with: { candidate } };
}

/** A mark written before the lock may still arrive after it. */
function refusalOfLocked(
  { book, writer, at }: Asked,
  entry: EntryOf<"mark" | "overall" | "faults">,
  candidate: CandidateId,
  { section, item, side }: Pick<Place, "section" | "item" | "side">,
): Fault | null {
  const lock = book.openings.lock(entry.by, candidate, section);
  const fault: Fault = { code: "ALREADY_LOCKED", with: { candidate, section } };
  if (book.plan.rules === 1) {
    if (!lock || entry.lamport <= lock.lamport) return null;
    return isLockedFor(book, entry.by, candidate, { section, item, side }, at) ? fault : null;
  }
  // Its place in the count was passed over when the lock was taken: what stood at the lock stays what it was.
  // But for what the hub had held before it was put back from an older copy: that comes again.
  const seal = book.openings.seal(entry.by, candidate, section);
  if (seal?.some((basis) => isIn(basis, entry))) {
    // On the road the chief's device says what it held, and its file comes first.
    const isToCome = isAwaited(book, writer, entry) || (!lock && book.isSpokenOf(entry));
    return isToCome ? null : fault;
  }
  if (!wasHad(book, writer, entry) && book.isPassedOver(entry, candidate)) return fault;
  const answers = entry.kind === "faults" ? undefined : entry.body.answers;
  if (!lock || answers || book.openings.isRevealed(candidate, section)) return null;
  // Another tablet of this judge may have written it before it heard of the lock: then it is late, and the chief says whether it counts.
  const isOfOneDevice = deviceOf(entry.device) === deviceOf(lock.device);
  return isOfOneDevice || entry.lamport > lock.lamport ? fault : null;
}

/** What the candidate's rubric does not ask for, or has no such level for. */
function refusalOfMisfit(
  { book, at }: Asked,
  candidate: CandidateId,
  place: Place,
  level?: number | "not-seen" | "cleared",
): Fault | null {
  const rubric = book.plan.rubricOf(candidate, at);
  if (!rubric) return { code: "RUBRIC_UNKNOWN", with: { candidate } };
  const misfit = misfitOf(rubric, place, level);
  return misfit && misfitFault(rubric, place, misfit);
}
