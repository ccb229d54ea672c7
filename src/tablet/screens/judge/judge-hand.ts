import type {
  CandidateId,
  CriterionId,
  FaultId,
  ItemId,
  SectionId,
} from "../../../belt-test/identity.ts";
import type { JudgeCall } from "../../../belt-test/planning/judge-calls.ts";
import type { Side } from "../../../belt-test/rubric/rubric.ts";
import { DONE } from "../../../belt-test/rubric/rubric.ts";
import { scaleOf } from "../../../belt-test/rubric/scale.ts";
import { heads, type Place } from "../../../belt-test/scorebook/cell.ts";
import type { EntryBody, EntryOf } from "../../../belt-test/scorebook/entry.ts";
import {
  basisOf,
  lockBody,
  notSeenBodies,
  requestFor,
  restBodies,
} from "../../../belt-test/scorebook/judge-view.ts";
import { laneOf } from "../../../belt-test/scorebook/lane-words.ts";
import type { Pen } from "../../../belt-test/scorebook/pen.ts";
import { countOf } from "../../../belt-test/scorebook/place-counts.ts";
import {
  lastNotSeen,
  lastUndoable,
  type Undoable,
  undoOf,
  writtenTogether,
} from "../../../belt-test/scorebook/undo.ts";
import type { AnyEntry } from "../../../book/entry.ts";
import type { EntryId, PersonId } from "../../../book/identity.ts";
import type { Notebook } from "../../session/notebook.ts";

/** The one row of the overall judgements. */
export const OVERALL = "overall" as CriterionId;

type Level = number | "not-seen" | "cleared";

/** What the last act was about: shown until the next one. */
export interface LastAct {
  kind: "marked" | "undone";
  call: JudgeCall["key"];
  candidate: CandidateId;
  /** A row of the board; null where an undo took back more than one cell. */
  row: CriterionId | null;
}

/** The cell of the scorebook that a row of this call's board stands for: in a checklist a row is an item. */
export function cellOfRow(
  step: JudgeCall["step"],
  row: CriterionId,
): { section: SectionId; item: ItemId | null; side: Side | null; criterion: CriterionId } {
  const { section, item, markedSide: side } = step;
  return step.marking === "checklist"
    ? { section, item: row as string as ItemId, side, criterion: DONE }
    : { section, item, side, criterion: row };
}

type MarkedCell = EntryBody<"mark">["cells"][number];

/** Whose cell, and which row of a board, an entry was about. */
function rowOf(entry: Undoable): { candidate: CandidateId; row: CriterionId | null } {
  if (entry.kind === "overall") return { candidate: entry.body.candidate, row: OVERALL };
  if (entry.kind === "lanes-swapped") return { candidate: entry.body.candidates[0], row: null };
  const { item } = entry.body;
  const rowAt = (criterion: CriterionId) =>
    criterion === DONE && item ? (item as string as CriterionId) : criterion;
  if (entry.kind === "faults")
    return { candidate: entry.body.candidate, row: rowAt(entry.body.criterion) };
  const [first, ...more] = entry.body.cells as [MarkedCell, ...MarkedCell[]];
  return { candidate: first.candidate, row: more.length > 0 ? null : rowAt(first.criterion) };
}

type Row = Omit<Place, "criterion">;

/** Everything a judge's hand can do to the scorebook. A tap is one entry; an act on several children, or items, is one for each, kept and taken back as one. */
export class JudgeHand {
  readonly #notebook: Notebook;
  readonly #judge: PersonId;
  /** Changes with the notebook, which tells of it. */
  last: LastAct | undefined;

  constructor(notebook: Notebook, judge: PersonId) {
    this.#notebook = notebook;
    this.#judge = judge;
  }

  /** One cell, which the board has drawn already. */
  mark(call: JudgeCall, candidate: CandidateId, row: CriterionId, level: Level): void {
    this.last = { kind: "marked", call: call.key, candidate, row };
    const lane = laneOf(call.step, candidate);
    if (call.part === "overall") {
      const judgement = typeof level === "number" ? level : null;
      const { section } = call.step;
      const row = { section, item: null, side: null };
      const body = { candidate, section, judgement, ...lane, ...this.#answering(candidate, row) };
      void this.#notebook.write("overall", body, { drawn: true });
      return;
    }
    const { criterion, ...where } = cellOfRow(call.step, row);
    const cells = [{ candidate, criterion, level, how: "tapped" as const }];
    void this.#notebook.write(
      "mark",
      { ...where, ...lane, cells, ...this.#onGlass(candidate, where) },
      { drawn: true, replaces: this.#replaced({ ...where, cells }) },
    );
  }

  rest(call: JudgeCall, candidates: readonly CandidateId[]): void {
    this.writeMarks(restBodies(this.#notebook.book, this.#judge, call.step, candidates));
  }

  /** Marks of several children, as one act. */
  writeMarks(bodies: readonly EntryBody<"mark">[]): void {
    this.#forgetUndone();
    this.#writeAll(bodies);
  }

  /** Not seen; again takes it back. */
  notSeen(call: JudgeCall, candidate: CandidateId, isNotSeen: boolean): void {
    this.#forgetUndone();
    const bodies = notSeenBodies(this.#notebook.book, this.#judge, call.step, candidate);
    if (!isNotSeen) {
      this.#writeAll(bodies);
      return;
    }
    // That word alone, whatever was marked since.
    const said = lastNotSeen(this.#notebook.book, this.#judge, call.step, candidate);
    if (said) this.#takeBack(call, said);
  }

  faults(call: JudgeCall, candidate: CandidateId, row: CriterionId, faults: FaultId[]): void {
    void this.#notebook.write("faults", { candidate, ...cellOfRow(call.step, row), faults });
  }

  /** Whether anything is left that can be taken back. */
  mayUndo(): boolean {
    return lastUndoable(this.#notebook.book, this.#judge) !== undefined;
  }
  /**
   * @param boardOf  where a word stands
   * @returns the board on which something went: another than this one where the newest word stands there
   */
  undo(call: JudgeCall, boardOf: (word: Undoable) => JudgeCall | undefined): JudgeCall {
    const newest = lastUndoable(this.#notebook.book, this.#judge);
    const its = (newest && boardOf(newest)) ?? call;
    if (newest) this.#takeBack(its, newest);
    else this.last = undefined;
    return its;
  }
  #takeBack(call: JudgeCall, undone: Undoable): void {
    const { book } = this.#notebook;
    const together = writtenTogether(book, undone);
    this.last = { kind: "undone", call: call.key, ...rowOf(undone) };
    if (together.length > 1 && this.last) this.last = { ...this.last, row: null };
    const batch = together.length > 1 ? { batch: this.#notebook.newBatch() } : {};
    const undos = together.map((one) => undoOf(book, one));
    void this.#notebook.writeTogether(
      undos.map(
        ({ kind, body, replaces }) =>
          (pen) =>
            pen.write(kind, { ...body, ...batch }, replaces) as AnyEntry,
      ),
    );
  }

  /** Each child by itself: nothing about one ever waits for another. */
  lock(section: JudgeCall["step"]["section"], candidates: readonly CandidateId[]): void {
    const { book } = this.#notebook;
    const locks = candidates.map((candidate) => {
      const body = lockBody(book, this.#judge, section, candidate);
      return (pen: Pen) => pen.write("locked", body) as AnyEntry;
    });
    void this.#notebook.writeTogether(locks);
  }

  /** “I have looked again”: what was written for the request counts, and nothing after it. */
  answered({ id: request, body: { candidate, section } }: EntryOf<"remark-asked">): void {
    const basis = basisOf(this.#notebook.book, this.#judge, { candidate, section });
    void this.#notebook.write("answered", { request, candidate, section, basis });
  }

  /** What goes before marks and with them, as one act: on the disk as one, taken back as one. */
  writeTogether(
    bodies: readonly EntryBody<"mark">[],
    first: (batch: string) => (pen: Pen) => AnyEntry,
  ): void {
    const batch = this.#notebook.newBatch();
    this.#forgetUndone();
    this.#writeAll(bodies, { batch, first: [first(batch)] });
  }

  #forgetUndone(): void {
    if (this.last?.kind === "undone") this.last = undefined;
  }

  /** One act: on the disk as one, taken back as one. */
  #writeAll(
    bodies: readonly EntryBody<"mark">[],
    act?: { batch: string; first: readonly ((pen: Pen) => AnyEntry)[] },
  ): void {
    const batch = act?.batch ?? (bodies.length > 1 ? this.#notebook.newBatch() : undefined);
    void this.#notebook.writeTogether([
      ...(act?.first ?? []),
      ...bodies.map((body) => (pen: Pen) => {
        const [cell] = body.cells;
        const whole = {
          ...body,
          ...(batch ? { batch } : {}),
          ...(cell && this.#onGlass(cell.candidate, body)),
        };
        return pen.write("mark", whole, this.#replaced(body)) as AnyEntry;
      }),
    ]);
  }

  /** What a mark says of its moment: by which scale it was given, and what it answers. */
  #onGlass(candidate: CandidateId, row: Row) {
    const rubric = this.#notebook.book.plan.rubricOf(candidate);
    return { ...(rubric && { scale: scaleOf(rubric) }), ...this.#answering(candidate, row) };
  }

  /** After the lock a mark counts only where it answers what the chief asked. */
  #answering(candidate: CandidateId, row: Row): { answers?: EntryId } {
    const { book } = this.#notebook;
    if (book.plan.rules === 1 || !book.openings.hasLocked(this.#judge, candidate, row.section))
      return {};
    const request = requestFor(book, this.#judge, candidate, row);
    return request ? { answers: request.id } : {};
  }

  /** What another tablet of this judge wrote, and this one has seen, is knowingly replaced. */
  #replaced({ section, item, side, cells }: EntryBody<"mark">): EntryId[] {
    const { book, pass } = this.#notebook;
    const replaces = new Set<EntryId>();
    for (const { candidate, criterion } of cells) {
      // By the first rules a device has one count.
      const own = countOf(pass.device, book.plan.rules === 1 ? undefined : { candidate, section });
      for (const head of heads(
        book.marks.writes(this.#judge, candidate, { section, item, side, criterion }),
      )) {
        if (head.device !== own) replaces.add(head.entry);
      }
    }
    return [...replaces];
  }
}
