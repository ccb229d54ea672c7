import type { EntryId, PersonId } from "../../book/identity.ts";
import type { Stamp } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import { DONE } from "../rubric/rubric.ts";
import { isScaleOf } from "../rubric/scale.ts";
import { markedAlike, type Step } from "../script/script.ts";
import type { Place, Write } from "./cell.ts";
import { type EntryOf, isKnown } from "./entry.ts";
import { placeOf } from "./judge-view.ts";
import { laneNow } from "./lane-now.ts";
import { laneIn } from "./lane-words.ts";
import type { Scorebook } from "./scorebook.ts";
import {
  askedOfAny,
  type Move,
  movedMarks,
  type Row,
  rowKey,
  type SwappedMarks,
} from "./swapped-marks.ts";

type Pair = readonly [CandidateId, CandidateId];
/** A step of a wave's script, with the lanes of then. */
type LaneStep = Step & { lanes: readonly CandidateId[] };

/** What a judge gave in a lane lies under another child than who stood there: others have said so since, or the chief wrote the lanes anew. */
export interface StrayLanes {
  row: Row;
  /** Who stood in the lanes of this call, as it is known now. */
  lanes: readonly CandidateId[];
  /** Under whom something lies, and who stood there; never empty. */
  pairs: Pair[];
  /** What moves if the marks go along. */
  marks: SwappedMarks;
  /** A list, or what is said of a section as a whole, was marked too: it stays with the names. */
  isWholeLeft: boolean;
}

/**
 * What a judge is to be asked about a wave, a call at a time, in the order of the script. A mark says in which lane the child stood on the glass, so that nobody has to know
 * who had heard what when: in the end it belongs to whoever stood in that lane.
 *
 * Marks without a lane, of an app of before, lie right. So do those of a wave in which others stand since: a lane of then is another now.
 *
 * @param steps  of the wave's script
 */
export function strayLanes(
  book: Scorebook,
  judge: PersonId,
  wave: number,
  steps: readonly Step[],
): StrayLanes[] {
  const rows = new Map<string, LaneStep>();
  for (const step of steps.flatMap(markedAlike)) {
    const { lanes } = step;
    // Both sides of what is marked once are one row: the children stood as at the second.
    if (lanes) rows.set(rowKey(rowOf(step)), { ...step, lanes });
  }
  return [...rows.values()].flatMap((step): StrayLanes[] => {
    const at = { book, judge, wave, step };
    const found = movesByLane(at);
    const left = wholeLeft(at);
    const pairs = eachPairOnce([...found.pairs, ...left]);
    if (pairs.length === 0) return [];
    const row = rowOf(step);
    const { lanes } = step;
    const marks = movedMarks(book, judge, row, lanes, found.moves);
    return [{ row, lanes, pairs, marks, isWholeLeft: left.length > 0 }];
  });
}

export const rowOf = ({ section, item, markedSide: side }: Step): Row => ({ section, item, side });

/** What moves when this judge says that children who stand so on the glass stood as `lanes` says. */
export function marksAtLanes(
  book: Scorebook,
  judge: PersonId,
  wave: number,
  step: Step,
  lanes: readonly CandidateId[],
): SwappedMarks {
  const { moves } = movesByLane({ book, judge, wave, step: { ...step, lanes } }, step.lanes);
  return movedMarks(book, judge, rowOf(step), lanes, moves);
}

/** A judge's board of one call. */
interface Board {
  book: Scorebook;
  judge: PersonId;
  wave: number;
  step: LaneStep;
}

/** Of each criterion what lies under another child than the last word in that lane was about. @param glass  how the children stand on it, where that is otherwise */
function movesByLane(
  board: Board,
  glass?: readonly CandidateId[],
): { moves: Move[]; pairs: Pair[] } {
  const { book, judge, step } = board;
  const { lanes } = step;
  const row = rowOf(step);
  const pairs: Pair[] = [];
  const moves = askedOfAny(book, lanes, row).flatMap((criterion): Move[] => {
    const place = { ...row, criterion };
    const words = lanes.flatMap((candidate) =>
      ownWrites(book, judge, candidate, place).map((write) => ({
        candidate,
        write,
        stood: whoStood(board, candidate, write, glass),
      })),
    );
    const strays = words.filter(({ candidate, stood }) => candidate !== stood);
    const to = new Map<CandidateId, Write | undefined>();
    let isOfOtherScale = false;
    for (const one of new Set(strays.flatMap(({ candidate, stood }) => [candidate, stood]))) {
      const its = words.filter(({ stood }) => stood === one);
      const last = its.reduce<(typeof words)[number] | undefined>(
        (newest, word) => (newest && isOlder(book, word, newest, one) ? newest : word),
        undefined,
      );
      const level = last?.write.level === "cleared" ? undefined : last?.write.level;
      const isOther = typeof level === "number" && !isReadAlike(book, one, last?.candidate);
      if (isOther) isOfOtherScale = true;
      if (isOther || level !== book.marks.cell(judge, one, place)?.level)
        to.set(one, level === undefined ? undefined : last?.write);
    }
    if (to.size === 0) return [];
    for (const { candidate, stood } of strays)
      if (to.has(candidate) || to.has(stood)) pairs.push([candidate, stood]);
    return [{ criterion, to, isOfOtherScale }];
  });
  return { moves, pairs };
}

/** Whether a level means the same of both. */
function isReadAlike(book: Scorebook, ...both: readonly (CandidateId | undefined)[]): boolean {
  const [a, b] = both.map((one) => one && book.plan.rubricOf(one));
  return a !== undefined && b !== undefined && isScaleOf(a, b);
}

/** Of two words about one lane. Marks do not make logical time go on: then the clock of their tablet says it, or who is known to have stood there. */
function isOlder(
  book: Scorebook,
  word: { candidate: CandidateId; write: Write },
  other: { candidate: CandidateId; write: Write },
  stood: CandidateId,
): boolean {
  const [a, b] = [word.write, other.write];
  if (a.lamport !== b.lamport) return a.lamport < b.lamport;
  if (a.device === b.device) return a.n < b.n;
  const [at, otherAt] = [a, b].map(({ entry }) => book.entry(entry)?.at ?? 0) as [number, number];
  return at === otherAt ? other.candidate === stood : at < otherAt;
}

/** The judge's own words in a cell: an Undo brings back what stood, and says nothing new. */
const ownWrites = (
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  place: Place,
): Write[] =>
  book.marks.writes(judge, candidate, place).filter(({ entry: id }) => {
    const entry = book.entry(id);
    return (
      entry !== undefined &&
      !book.isUndone(id) &&
      (entry.body as { undoes?: EntryId }).undoes === undefined
    );
  });

/** Who stood in the lane in which this was given. What says no lane was given in that which the child has on the glass. */
function whoStood(
  { book, wave, step: { lanes, called = Number.POSITIVE_INFINITY } }: Board,
  candidate: CandidateId,
  write: Stamp & { lane?: number | undefined },
  glass = lanes,
): CandidateId {
  const said = write.lane && laneNow(book.plan.stands(wave), called, write, write.lane);
  const lane = said ?? laneIn(glass, candidate);
  return (lane && lanes[lane - 1]) || candidate;
}

/** The same of a section as a whole: its list, and its overall judgement. */
function wholeLeft(board: Board): Pair[] {
  const { book, judge, step } = board;
  const { section, item, candidates } = step;
  if (item !== null) return [];
  return candidates.flatMap((candidate) => {
    const its = placeOf(book, candidate, { section, item })?.section;
    const list =
      its?.marking === "checklist"
        ? its.items.map(({ id }) =>
            book.marks.cell(judge, candidate, { section, item: id, side: null, criterion: DONE }),
          )
        : [];
    const given = [...list, overallOf(board, candidate)];
    const found = given
      .map((write) => write && whoStood(board, candidate, write))
      .find((stood) => stood && stood !== candidate);
    return found ? [[candidate, found]] : [];
  });
}

/** What this judge said last of a child's section as a whole, and nobody has taken back. */
function overallOf(
  { book, judge, step: { section } }: Board,
  candidate: CandidateId,
): (Stamp & { lane?: number | undefined }) | undefined {
  if (book.marks.overall(judge, candidate, section) === null) return undefined;
  const said = [...book.entries()].filter(
    (one): one is EntryOf<"overall"> => isKnown(one) && one.kind === "overall" && one.by === judge,
  );
  const last = said.findLast(
    ({ body }) => body.candidate === candidate && body.section === section,
  );
  return last && { ...last, lane: last.body.lane };
}

function eachPairOnce(pairs: readonly Pair[]): Pair[] {
  const known = new Set<string>();
  return pairs.filter((pair) => {
    const key = pair.toSorted().join();
    const isNew = !known.has(key);
    known.add(key);
    return isNew;
  });
}
