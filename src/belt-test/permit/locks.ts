import type { Fault } from "../../book/faults.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import { blankAtLock, isSaidBefore } from "../scorebook/judge-view.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";
import { refusalOfWhatItSpeaksOf } from "./basis.ts";
import { refusalOfJudging, refusalOfSeveral } from "./judging.ts";
import { refusalOfMovedOpening } from "./moved-opening.ts";
import type { Asked } from "./refusals.ts";
import { refusalOfSections } from "./strangers.ts";
import { comesAgain } from "./writer.ts";

/** What refuses “my marks here are final”. */
export function refusalOfLock(asked: Asked, entry: EntryOf<"locked">): Fault | null {
  const { book, at } = asked;
  const { candidates, section } = entry.body;
  const isOfFirstRules = book.plan.rules === 1;
  const candidate = isOfFirstRules ? overtakenFor(book, entry) : lockedBefore(book, entry);
  if (candidate) return { code: "ALREADY_LOCKED", with: { candidate, section } };
  const several = isOfFirstRules ? null : refusalOfSeveral(candidates);
  if (several) return several;
  for (const one of candidates) {
    const fault =
      refusalOfJudging(asked, entry.by, one, section) ??
      (isOfFirstRules ? null : refusalOfSections(book, one, [section], at));
    if (fault) return fault;
  }
  const unfit = isOfFirstRules
    ? null
    : (refusalOfWhatItSpeaksOf(asked, entry) ??
      refusalByPredecessor(asked, entry) ??
      refusalOfLockedPlace(asked, entry) ??
      refusalInThePast(asked, entry) ??
      refusalBeforeThePlan(asked, entry));
  if (unfit) return unfit;
  const [blank] = blankAtLock(book, entry, at);
  return blank ? { code: "CELL_BLANK", with: { candidate: blank.candidate, section } } : null;
}

const lockedBefore = (book: Scorebook, { by, body }: EntryOf<"locked">): CandidateId | undefined =>
  body.candidates.find((candidate) => book.openings.hasLocked(by, candidate, body.section));

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

/** Whose place was given to another there locks no more, whenever it was written: what the hub held is final, and the place waits for the successor's word. */
function refusalByPredecessor({ book, writer }: Asked, entry: EntryOf<"locked">): Fault | null {
  const { by } = entry;
  const { section, candidates } = entry.body;
  if (comesAgain(book, writer, entry)) return null;
  const candidate = candidates.find((one) => {
    const judges = book.panel.judgesOf(one, section);
    return (
      !judges.includes(by) && judges.some((judge) => book.panel.predecessors(judge).includes(by))
    );
  });
  return candidate ? { code: "NOT_ASSIGNED", with: { candidate, section } } : null;
}

/** A lock counts whole, so each place has one: whoever took a place that was locked, and has no other there, is asked for nothing more. */
function refusalOfLockedPlace({ book, writer }: Asked, entry: EntryOf<"locked">): Fault | null {
  const { section, candidates } = entry.body;
  if (comesAgain(book, writer, entry)) return null;
  const candidate = candidates.find((one) =>
    isSaidBefore(book.openings.predecessorsIn(entry.by, one, section), (judge) =>
      book.openings.hasLocked(judge, one, section),
    ),
  );
  return candidate ? { code: "PLACE_LOCKED", with: { candidate, section } } : null;
}

/** A lock that comes when the marks are open, and says to be from before that, would change what they were opened on. Whatever the hub held of a judge counts as it was. */
function refusalInThePast({ book, writer }: Asked, entry: EntryOf<"locked">): Fault | null {
  const { by, lamport } = entry;
  const { section, candidates } = entry.body;
  if (comesAgain(book, writer, entry)) return null;
  const candidate = candidates.find(
    (one) =>
      lamport <= (book.openings.openedAt(one, section) ?? 0) &&
      !book.openings.isHeldForGood(by, one, section) &&
      !wasHadAtOpening(book, entry, one, section),
  );
  return candidate ? { code: "SECTION_OPEN", with: { candidate, section } } : null;
}

/** Of locks, which are many, only those are tried that are older than the plan, or than a lock of somebody who is not asked for one any more. */
function refusalBeforeThePlan({ book, writer }: Asked, entry: EntryOf<"locked">): Fault | null {
  const { section, candidates } = entry.body;
  // What it opened was open when the plan was changed.
  if (comesAgain(book, writer, entry)) return null;
  const isOlder = candidates.some(
    (one) =>
      entry.lamport < book.panel.plannedAt(one, section) ||
      entry.lamport < lastLockBeside(book, one, section),
  );
  return isOlder ? refusalOfMovedOpening(book, entry) : null;
}

/** Whether a chief without a hub who opened the marks there had this line before. */
const wasHadAtOpening = (
  { openings }: Scorebook,
  entry: EntryOf<"locked">,
  candidate: CandidateId,
  section: SectionId,
): boolean =>
  openings
    .openedByChief(candidate, section)
    .some(({ body: { after } }) => after && isIn(after, entry));

/** The newest logical moment at which somebody locked there who is not asked for it any more; 0 for never. */
function lastLockBeside(
  { openings, panel }: Scorebook,
  candidate: CandidateId,
  section: SectionId,
): number {
  const asked = panel.judgesOf(candidate, section);
  const beside = [...openings.locksOf(candidate, section)].filter(
    ([judge]) => !asked.includes(judge),
  );
  return Math.max(0, ...beside.flatMap(([, locks]) => locks.map(({ lamport }) => lamport)));
}
