import type { EntryId, PersonId } from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";
import { byAge } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { Basis } from "../kinds/body-parts.ts";
import { sectionOf } from "../rubric/lookup.ts";
import { type Place, standing, type Write } from "./cell.ts";
import type { AnyEntry, EntryBody, EntryOf } from "./entry.ts";
import type { Scorebook } from "./scorebook.ts";
import { isIn } from "./seal.ts";
import type { LaneSwap } from "./swapped-lanes.ts";
import {
  askedOfAny,
  type Move,
  movedMarks,
  type Row,
  rowKey,
  rowsOfTurn,
  type SwappedMarks,
} from "./swapped-marks.ts";

type Said = EntryOf<"lanes-swapped">;
type Pair = readonly [CandidateId, CandidateId];

/** Others said that children had stood in each other's place, and this judge's marks of a call are still on the names. */
export interface SwapsByOthers {
  row: Row;
  /** Who has changed places with whom, taken together; never empty. */
  pairs: Pair[];
  /** Everything that was said of it, to be answered as one. */
  swaps: EntryId[];
  /** What moves if the marks go along. */
  marks: SwappedMarks;
  /** A list, or what is said of a section as a whole, was marked too: it stays with the names. */
  isWholeLeft: boolean;
}

/**
 * What a judge is to be asked after lanes were swapped by others, a call at a time, oldest swap first. A swap is about the call that it names, or that was called when it was said, and
 * about the calls behind it, which a judge without a line went on to with the old names on the glass; where children come one at a time, about all that is done in a turn.
 *
 * Of each criterion only marks move that the judge gave before hearing of the swap: what was tapped since was tapped on the new names. A swap taken back is a swap like
 * any other, so that two of the same pair ask nothing. What this judge swapped as a judge took the marks of that call along by itself; as the caller it did not.
 * What several said of the same two is one swap, about the calls of all of them, and heard when the first of them was.
 *
 * @param rows    of the wave's script, in its order
 * @param rowOf   the row of cells that a call is about: where both sides are marked together it has none; undefined where the wave has no such call
 * @param shown   what a swap is about that was said before anything was called
 * @param isAnswered  whether this judge has said of a call that the marks are right in spite of this swap
 * @param writtenBefore  what this tablet had written when it heard of a swap. Logical time tells it not alone: a judge who has locked is ahead of a caller, who is told of no lock
 */
export function swapsByOthers(
  book: Scorebook,
  judge: PersonId,
  wave: number,
  {
    rows: script,
    rowOf,
    shown,
    isAnswered,
    writtenBefore,
  }: {
    rows: readonly Row[];
    rowOf: (call: EntryBody<"called">) => Row | undefined;
    shown: Row | undefined;
    isAnswered: (row: Row, swap: EntryId) => boolean;
    writtenBefore: (swap: EntryId) => Basis | undefined;
  },
): SwapsByOthers[] {
  const rows = new Map<string, { row: Row; swaps: LaneSwap[] }>();
  for (const swap of book.plan.swapsEver(wave)) {
    const [own, others] = [true, false].map((isOf) =>
      swap.said.filter((one) => isOwn(book, judge, one) === isOf),
    ) as [Said[], Said[]];
    const settled = new Set(own.flatMap((said) => rowsAt(said).map(rowKey)));
    for (const row of others.flatMap((said) => [...rowsAt(said), ...rowsBehind(said)])) {
      if (settled.has(rowKey(row))) continue;
      const { swaps: its } = keyed(rows, rowKey(row), () => ({ row, swaps: [] }));
      if (its.at(-1) !== swap) its.push(swap);
    }
  }
  function rowOfSaid(said: Said): Row | undefined {
    const call = said.body.call ?? callsBefore(said).at(-1)?.body;
    return call ? rowOf({ ...call, wave }) : shown;
  }
  function callsBefore(said: Said): EntryOf<"called">[] {
    return book.floor.calls.filter((one) => one.body.wave === wave && byAge(one, said) < 0);
  }
  function rowsAt(said: Said): Row[] {
    const row = rowOfSaid(said);
    return row ? rowsOfTurn(book, said.body.candidates, row) : [];
  }
  /** Whatever was called before its own call is not meant, and what was called behind that is. */
  function rowsBehind(said: Said): readonly Row[] {
    const row = rowOfSaid(said);
    const at = row ? script.findIndex((one) => rowKey(one) === rowKey(row)) : -1;
    if (!row || at < 0) return [];
    const called = callsBefore(said).flatMap(({ body }) => rowOf(body) ?? []);
    const own = called.findLastIndex((one) => rowKey(one) === rowKey(row));
    const before = new Set(called.slice(0, own < 0 ? called.length : own).map(rowKey));
    return script.slice(at + 1).filter((one) => !before.has(rowKey(one)));
  }
  const isOlder = (entry: AnyEntry, { said }: LaneSwap): boolean =>
    said.every(
      (one) =>
        entry.lamport < one.lamport ||
        (!isOwn(book, judge, one) && isIn(writtenBefore(one.id) ?? {}, entry)),
    );
  const isWrittenBefore = (id: EntryId, swap: LaneSwap): boolean => {
    const entry = book.entry(id);
    return entry !== undefined && isOlder(entry, swap);
  };
  return [...rows.values()].flatMap(({ row, swaps: its }): SwapsByOthers[] => {
    const open = its.filter(({ said }) => !said.some(({ id }) => isAnswered(row, id)));
    const who = [...new Set(open.flatMap(({ candidates }) => candidates))];
    const told = new Set<LaneSwap>();
    const moves = askedOfAny(book, who, row).flatMap((criterion): Move[] => {
      const words = (one: CandidateId) => ownWrites(book, judge, one, { ...row, criterion });
      const written = new Map(who.map((one) => [one, words(one)]));
      const { to, by } = carried(open, written, isWrittenBefore);
      for (const swap of by) told.add(swap);
      return to.size > 0 ? [{ criterion, to }] : [];
    });
    const left = open.filter((swap) =>
      swap.candidates.some((one) => {
        const whole = wholeWrites(book, judge, one, row);
        return whole.length > 0 && whole.every((id) => isWrittenBefore(id, swap));
      }),
    );
    for (const swap of withoutPairs(left)) told.add(swap);
    const about = open.filter((swap) => told.has(swap));
    if (about.length === 0) return [];
    // Two that brought the same two back, with marks between, are told as the last.
    const inTheEnd = withoutPairs(about);
    const pairs = (inTheEnd.length > 0 ? inTheEnd : about.slice(-1)).map(
      ({ candidates }): Pair => candidates,
    );
    const marks = movedMarks(book, judge, row, moves);
    return [
      {
        row,
        pairs,
        swaps: open.flatMap(({ said }) => said.map(({ id }) => id)),
        marks,
        isWholeLeft: withoutPairs(left).length > 0,
      },
    ];
  });
}

/** Swapped by this judge's hand, which moves marks and lanes in one act, or taken back by it. */
function isOwn(book: Scorebook, judge: PersonId, { by, body }: Said): boolean {
  if (by !== judge) return false;
  const act = body.undoes === undefined ? body : (book.entry(body.undoes)?.body as Said["body"]);
  return act?.batch !== undefined;
}

/**
 * Where what was written of each child in a cell comes to lie when it follows the swaps that it was written before, and by which of them; only what lies elsewhere in the
 * end. What was written after a swap lies where it is, and goes along with the next.
 *
 * @param written  the judge's own words, by child
 */
function carried(
  swaps: readonly LaneSwap[],
  written: ReadonlyMap<CandidateId, readonly Write[]>,
  isWrittenBefore: (id: EntryId, swap: LaneSwap) => boolean,
): { to: Map<CandidateId, Write | undefined>; by: LaneSwap[] } {
  const lies = new Map<CandidateId, Write | undefined>();
  let by: LaneSwap[] = [];
  for (const next of [...swaps, undefined]) {
    const news = new Set<CandidateId>();
    for (const [candidate, writes] of written) {
      const its = writes.filter(
        ({ entry }) => swaps.find((swap) => isWrittenBefore(entry, swap)) === next,
      );
      if (its.length === 0) continue;
      lies.set(candidate, standing(its));
      news.add(candidate);
    }
    // What was written of both since says where they are.
    by = by.filter(({ candidates }) => !candidates.every((one) => news.has(one)));
    if (!next) break;
    const [a, b] = next.candidates;
    const [first, second] = [lies.get(a), lies.get(b)];
    lies.set(a, second).set(b, first);
    if ([first, second].some((one) => one && one.level !== "cleared")) by.push(next);
  }
  const level = (one: Write | undefined) => (one?.level === "cleared" ? undefined : one?.level);
  for (const [candidate, writes] of written)
    if (level(lies.get(candidate)) === level(standing(writes))) lies.delete(candidate);
  return { to: lies, by: lies.size > 0 ? by : [] };
}

/** Who changed places, in turn: a swap that takes back the one before it leaves neither. Without those of which two in turn are of the same pair. */
const withoutPairs = (swaps: readonly LaneSwap[]): LaneSwap[] =>
  swaps.reduce<LaneSwap[]>((left, swap) => {
    const last = left.at(-1);
    const isBack = last && swap.candidates.every((one) => last.candidates.includes(one));
    return isBack ? left.slice(0, -1) : [...left, swap];
  }, []);

/** The judge's own words in a cell: an Undo brings back what stood, and says nothing new. */
const ownWrites = (
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  place: Place,
): readonly Write[] =>
  book.marks
    .writes(judge, candidate, place)
    .filter(({ entry }) => isOwnWord(book, book.entry(entry)));

/** The same of a section as a whole: its list, and its overall judgement. Empty where the call is about one technique, or nothing stands. */
function wholeWrites(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  { section, item }: Row,
): EntryId[] {
  const rubric = book.plan.rubricOf(candidate);
  const its = rubric && sectionOf(rubric, section);
  if (item !== null || !its) return [];
  const isSaid =
    book.marks.overall(judge, candidate, section) !== null ||
    (its.marking === "checklist" &&
      book.marks
        .of(candidate, "now")
        .some((mark) => mark.judge === judge && mark.section === section));
  if (!isSaid) return [];
  return [...book.entries()].flatMap((entry) => {
    if (entry.by !== judge || !isOwnWord(book, entry)) return [];
    if (entry.kind === "overall") {
      const { body } = entry as EntryOf<"overall">;
      return body.candidate === candidate && body.section === section ? [entry.id] : [];
    }
    if (entry.kind !== "mark" || its.marking !== "checklist") return [];
    const { body } = entry as EntryOf<"mark">;
    const isOfChild = body.cells.some((cell) => cell.candidate === candidate);
    return body.section === section && isOfChild ? [entry.id] : [];
  });
}

const isOwnWord = (book: Scorebook, entry: AnyEntry | undefined): boolean =>
  entry !== undefined &&
  !book.isUndone(entry.id) &&
  (entry.body as { undoes?: EntryId }).undoes === undefined;
