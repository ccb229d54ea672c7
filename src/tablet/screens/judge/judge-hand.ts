import type {
  CandidateId,
  CriterionId,
  EntryId,
  FaultId,
  ItemId,
  PersonId,
  SectionId,
} from "../../../core/identity.ts";
import type { JudgeCall } from "../../../core/planning/judge-calls.ts";
import { DONE } from "../../../core/rubric/rubric.ts";
import { heads } from "../../../core/scorebook/cell.ts";
import type { EntryBody, Side } from "../../../core/scorebook/entry.ts";
import { lockBody, notSeenBodies, restBodies } from "../../../core/scorebook/judge-view.ts";
import { lastUndoable, type Undoable, undoOf } from "../../../core/scorebook/undo.ts";
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
  const { item } = entry.body;
  const rowAt = (criterion: CriterionId) =>
    criterion === DONE && item ? (item as string as CriterionId) : criterion;
  if (entry.kind === "faults")
    return { candidate: entry.body.candidate, row: rowAt(entry.body.criterion) };
  const [first, ...more] = entry.body.cells as [MarkedCell, ...MarkedCell[]];
  return { candidate: first.candidate, row: more.length > 0 ? null : rowAt(first.criterion) };
}

/** Everything a judge's hand can do to the scorebook. Each act is one entry, but for “rest” of a checklist: one for each item. */
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
    if (call.part === "overall") {
      const judgement = typeof level === "number" ? level : null;
      const { section } = call.step;
      void this.#notebook.write("overall", { candidate, section, judgement }, { drawn: true });
      return;
    }
    const { criterion, ...where } = cellOfRow(call.step, row);
    const cells = [{ candidate, criterion, level, how: "tapped" as const }];
    this.#write({ ...where, cells }, { drawn: true });
  }

  rest(call: JudgeCall, wave: number, candidates: readonly CandidateId[]): void {
    this.#forgetUndone();
    for (const body of restBodies(this.#notebook.book, this.#judge, wave, call.step, candidates))
      this.#write(body);
  }

  /** Not seen; again takes it back. */
  notSeen(call: JudgeCall, wave: number, candidate: CandidateId, isNotSeen: boolean): void {
    this.#forgetUndone();
    const bodies = notSeenBodies(this.#notebook.book, this.#judge, wave, call.step, candidate);
    if (!isNotSeen) for (const body of bodies) this.#write(body);
    else this.undo(call);
  }

  faults(call: JudgeCall, candidate: CandidateId, row: CriterionId, faults: FaultId[]): void {
    void this.#notebook.write("faults", { candidate, ...cellOfRow(call.step, row), faults });
  }

  undo(call: JudgeCall): void {
    const undone = lastUndoable(this.#notebook.book, this.#judge);
    this.last = undone && { kind: "undone", call: call.key, ...rowOf(undone) };
    if (!undone) return;
    const { kind, body, replaces } = undoOf(this.#notebook.book, undone);
    void this.#notebook.write(kind, body, { replaces });
  }

  lock(section: JudgeCall["step"]["section"], candidates: readonly CandidateId[]): void {
    void this.#notebook.write(
      "locked",
      lockBody(this.#notebook.book, this.#judge, section, [...candidates]),
    );
  }

  /** Two children stood in each other's place: their lanes change for everybody, and this judge's marks of this call go with them. */
  swap(call: JudgeCall, wave: number, pair: [CandidateId, CandidateId]): void {
    const { book } = this.#notebook;
    const { section, item, markedSide: side } = call.step;
    void this.#notebook.write("lanes-swapped", { wave, candidates: pair });
    if (call.part === "overall" || call.step.marking === "checklist") return;
    const criteria = new Set(book.rubricOf(pair[0])?.criteria.map(({ id }) => id));
    const cells = [...criteria].flatMap((criterion) => {
      const [a, b] = pair.map((candidate) =>
        book.cell(this.#judge, candidate, { section, item, side, criterion }),
      );
      if (!a && !b) return [];
      return pair.map((candidate, index) => {
        const other = index === 0 ? b : a;
        return {
          candidate,
          criterion,
          level: other?.level ?? ("cleared" as const),
          how: other?.how ?? ("tapped" as const),
        };
      });
    });
    if (cells.length > 0) this.#write({ section, item, side, cells });
  }

  #forgetUndone(): void {
    if (this.last?.kind === "undone") this.last = undefined;
  }

  #write(body: EntryBody<"mark">, how: { drawn?: boolean } = {}): void {
    const { book, pass } = this.#notebook;
    const { section, item, side } = body;
    // What another tablet of this judge wrote, and this one has seen, is knowingly replaced.
    const replaces = new Set<EntryId>();
    for (const { candidate, criterion } of body.cells) {
      for (const head of heads(
        book.writes(this.#judge, candidate, { section, item, side, criterion }),
      )) {
        if (head.device !== pass.device) replaces.add(head.entry);
      }
    }
    void this.#notebook.write("mark", body, { replaces: [...replaces], ...how });
  }
}
