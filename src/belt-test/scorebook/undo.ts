import type { EntryId, PersonId } from "../../book/identity.ts";
import { byAge } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import { type KindThatIs, kindsThatAre } from "../kinds/all-kinds.ts";
import type { Step } from "../script/script.ts";
import { assignedPlaces } from "./assigned-places.ts";
import { writeThatStands } from "./cell.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import { isAway } from "./presence.ts";
import type { Scorebook } from "./scorebook.ts";

/** What a judge's hand did to the marks, and to the lanes. */
export type Undoable = EntryOf<KindThatIs<"undoing">>;
const kinds = kindsThatAre("undoing");
export type Undo =
  | { kind: "lanes-swapped"; body: EntryBody<"lanes-swapped">; replaces: EntryId[] }
  | { kind: "mark"; body: EntryBody<"mark">; replaces: EntryId[] }
  | { kind: "overall"; body: EntryBody<"overall">; replaces: EntryId[] }
  | { kind: "faults"; body: EntryBody<"faults">; replaces: EntryId[] };

/**
 * The newest thing this judge did that can still be taken back: not undone yet, no undo itself, not locked, and of somebody who is here.
 * @returns undefined when there is nothing left to take back.
 */
export function lastUndoable(book: Scorebook, judge: PersonId): Undoable | undefined {
  const beyond = swapsBeyondReach(book, judge);
  return [...book.entries()]
    .filter(
      (entry): entry is Undoable =>
        entry.by === judge && kinds.has(entry.kind) && !book.isUndone(entry.id),
    )
    .filter((entry) => !entry.body.undoes && !beyond.has(batchOf(entry) ?? ""))
    .sort(byTime)
    .findLast((entry) => isInReach(book, entry));
}

const isInReach = (book: Scorebook, entry: Undoable): boolean =>
  !isOutOfReach(book, entry) && isOnABoard(book, entry);

/** Whether it is about a cell that is asked of this judge still, of a child in a wave: of any other nobody would see it go. */
function isOnABoard(book: Scorebook, entry: Undoable): boolean {
  if (entry.kind === "lanes-swapped") return true;
  const { by, body } = entry;
  return candidatesOf(entry).every((one) => {
    // Of somebody who is not entered here nothing is known.
    if (!book.plan.entrant(one)) return true;
    if (book.plan.waveOf(one) === undefined) return false;
    if (entry.kind === "overall") return book.panel.judgesOf(one, body.section).includes(by);
    return assignedPlaces(book, by, one, body.section).some(
      (place) => place.item === entry.body.item && place.side === entry.body.side,
    );
  });
}

/** Where this judge last said “not seen” of this child in this step, and has not taken it back; undefined where that cannot be undone any more. */
export function lastNotSeen(
  book: Scorebook,
  judge: PersonId,
  { section, item, markedSide, marking }: Pick<Step, "section" | "item" | "markedSide" | "marking">,
  candidate: CandidateId,
): Undoable | undefined {
  const isOfStep = ({ body }: EntryOf<"mark">): boolean =>
    body.section === section &&
    (marking === "checklist" || (body.item === item && body.side === markedSide)) &&
    body.cells.some((cell) => cell.candidate === candidate && cell.level === "not-seen");
  return [...book.entries()]
    .filter((entry): entry is EntryOf<"mark"> => entry.kind === "mark" && entry.by === judge)
    .filter((entry) => !entry.body.undoes && !book.isUndone(entry.id) && isOfStep(entry))
    .filter((entry) => !isOutOfReach(book, entry))
    .sort(byTime)
    .at(-1);
}

/**
 * What a hand did first comes first. Marks do not make logical time go on, and those of two children stand in two counts,
 * so of one moment the book's own order decides, which on the device that wrote them is the order of writing.
 */
const byTime = (a: Undoable, b: Undoable): number => a.lamport - b.lamport;

const batchOf = (entry: Undoable): string | undefined =>
  entry.kind === "faults" ? undefined : entry.body.batch;

/** A swap of lanes goes back with the marks that went along, or not at all: half of it would put marks on the wrong child. */
function swapsBeyondReach(book: Scorebook, judge: PersonId): Set<string> {
  const beyond = new Set<string>();
  for (const entry of book.entries()) {
    if (entry.kind !== "lanes-swapped" || entry.by !== judge) continue;
    const swap = entry as EntryOf<"lanes-swapped">;
    const { batch } = swap.body;
    if (batch && !partsOf(book, swap).every((one) => isInReach(book, one))) beyond.add(batch);
  }
  return beyond;
}

/** Of whom a word speaks. */
export const candidatesOf = (entry: Exclude<Undoable, EntryOf<"lanes-swapped">>): CandidateId[] =>
  entry.kind === "mark"
    ? entry.body.cells.map(({ candidate }) => candidate)
    : [entry.body.candidate];

/**
 * Locked for any child it speaks of, and not open again for a request; or of children who left, or from whom this judge has stepped back, who are on no board:
 * nobody would see what went.
 */
function isOutOfReach(book: Scorebook, entry: Undoable): boolean {
  if (entry.kind === "lanes-swapped") return isOvertaken(book, entry);
  const { by, body } = entry;
  const { section } = body;
  const candidates = candidatesOf(entry);
  if (candidates.every((one) => isAway(book.floor.presence(one)))) return true;
  if (candidates.some((one) => book.panel.isRecused(by, one, section))) return true;
  if (isAnswering(book, entry)) return false;
  return candidates.some((one) => book.openings.hasLocked(by, one, section));
}

/** The chief lined the wave up anew since, or one of the two stands elsewhere: swapping again would not bring back what was. */
function isOvertaken(
  book: Scorebook,
  { lamport, body: { wave, candidates } }: EntryOf<"lanes-swapped">,
): boolean {
  const its = book.plan.inWave(wave);
  return lamport < book.plan.linedUpAt(wave) || candidates.some((one) => !its.includes(one));
}

/** Written for a request that the judge has not said to be done with. */
function isAnswering(book: Scorebook, entry: Exclude<Undoable, EntryOf<"lanes-swapped">>): boolean {
  const answers = entry.kind === "faults" ? undefined : entry.body.answers;
  return answers !== undefined && book.requests.openTo(entry.by).some(({ id }) => id === answers);
}

/** Everything that was written by the same act, such as “rest of line”: it is taken back as one, but for children who are locked, or left, since. Oldest first. */
export function writtenTogether(book: Scorebook, entry: Undoable): Undoable[] {
  return partsOf(book, entry)
    .filter((other) => !book.isUndone(other.id) && isInReach(book, other))
    .sort(byTime);
}

function partsOf(book: Scorebook, entry: Undoable): Undoable[] {
  const batch = batchOf(entry);
  if (!batch) return [entry];
  return [...book.entries()].filter(
    (other): other is Undoable =>
      other.by === entry.by && kinds.has(other.kind) && batchOf(other as Undoable) === batch,
  );
}

/**
 * The entry that takes `entry` back: every cell gets what stood before it, or `cleared`. Nothing is removed from the book.
 * Where another tablet of this judge wrote since, that stays.
 */
export function undoOf(book: Scorebook, entry: Undoable): Undo {
  const replaces = [entry.id];
  if (entry.kind === "lanes-swapped") {
    const { wave, candidates, call, lanes } = entry.body;
    const [a, b] = lanes ?? [];
    // About the call that it was about, whatever was called since.
    const about = { ...(call && { call }), ...(a && b && { lanes: [b, a] as [number, number] }) };
    const body = { wave, candidates, ...about, undoes: entry.id };
    return { kind: "lanes-swapped", body, replaces };
  }
  if (entry.kind === "mark") {
    const { section, item, side, cells } = entry.body;
    const before = cells.map(({ candidate, criterion }) => {
      const writes = book.marks.writes(entry.by, candidate, { section, item, side, criterion });
      const stood = writeThatStands(
        writes.filter((write) => isInForce(book, write.entry, entry.id)),
      );
      return {
        candidate,
        criterion,
        level: stood?.level ?? ("cleared" as const),
        how: stood?.how ?? ("tapped" as const),
      };
    });
    return {
      kind: "mark",
      body: {
        ...{ section, item, side, cells: before, undoes: entry.id },
        ...(entry.body.scale && { scale: entry.body.scale }),
        ...answersOf(entry),
      },
      replaces,
    };
  }
  const earlier = [...book.entries()]
    .filter(
      (other): other is typeof entry =>
        other.by === entry.by &&
        other.kind === entry.kind &&
        isInForce(book, other.id, entry.id) &&
        isSamePlace(other as typeof entry, entry),
    )
    .sort(byAge)
    .at(-1);
  if (entry.kind === "overall") {
    const judgement = earlier?.kind === "overall" ? earlier.body.judgement : null;
    return {
      kind: "overall",
      body: {
        candidate: entry.body.candidate,
        section: entry.body.section,
        judgement,
        undoes: entry.id,
        ...answersOf(entry),
      },
      replaces,
    };
  }
  const faults = earlier?.kind === "faults" ? earlier.body.faults : [];
  return { kind: "faults", body: { ...entry.body, faults, undoes: entry.id }, replaces };
}

const answersOf = ({ body: { answers } }: EntryOf<"mark" | "overall">) =>
  answers ? { answers } : {};

function isSamePlace(a: EntryOf<"overall" | "faults">, b: EntryOf<"overall" | "faults">): boolean {
  if (a.body.candidate !== b.body.candidate || a.body.section !== b.body.section) return false;
  if (a.kind === "faults" && b.kind === "faults") {
    return (
      a.body.item === b.body.item &&
      a.body.side === b.body.side &&
      a.body.criterion === b.body.criterion
    );
  }
  return true;
}

/** What was never taken back, and takes nothing back itself: the judge's own words, without `undoing`. */
function isInForce(book: Scorebook, id: EntryId, undoing: EntryId): boolean {
  const entry = book.entry(id);
  const isUndo = (entry?.body as { undoes?: EntryId } | undefined)?.undoes !== undefined;
  return id !== undoing && !isUndo && !book.isUndone(id);
}
