import type {
  CandidateId,
  CriterionId,
  EntryId,
  FaultId,
  ItemId,
  PersonId,
} from "../../../core/identity.ts";
import type { JudgeCall } from "../../../core/planning/judge-calls.ts";
import { heads } from "../../../core/scorebook/cell.ts";
import type { EntryBody } from "../../../core/scorebook/entry.ts";
import { lockBody, notSeenBodies, restBodies } from "../../../core/scorebook/judge-view.ts";
import { lastUndoable, undoOf } from "../../../core/scorebook/undo.ts";
import type { Notebook } from "../../session/notebook.ts";

type Level = number | "not-seen" | "cleared";

/** What one undo took back, for the caption. */
export interface Undone {
  candidate: CandidateId;
  criterion: CriterionId | null;
}

/** Everything a judge's hand can do to the scorebook. Each act is one entry, but for “rest” of a checklist: one for each item. */
export class JudgeHand {
  readonly #notebook: Notebook;
  readonly #judge: PersonId;

  constructor(notebook: Notebook, judge: PersonId) {
    this.#notebook = notebook;
    this.#judge = judge;
  }

  mark(
    call: JudgeCall,
    candidate: CandidateId,
    item: ItemId | null,
    criterion: CriterionId,
    level: Level,
  ): void {
    const { section, markedSide } = call.step;
    this.#write({
      section,
      item,
      side: markedSide,
      cells: [{ candidate, criterion, level, how: "tapped" }],
    });
  }

  rest(call: JudgeCall, wave: number, candidates: readonly CandidateId[]): void {
    for (const body of restBodies(this.#notebook.book, this.#judge, wave, call.step, candidates))
      this.#write(body);
  }

  /** Not seen; again takes it back. */
  notSeen(call: JudgeCall, wave: number, candidate: CandidateId, isNotSeen: boolean): void {
    const bodies = notSeenBodies(this.#notebook.book, this.#judge, wave, call.step, candidate);
    if (!isNotSeen) for (const body of bodies) this.#write(body);
    else this.undo();
  }

  faults(
    call: JudgeCall,
    candidate: CandidateId,
    item: ItemId | null,
    criterion: CriterionId,
    faults: FaultId[],
  ): void {
    const { section, markedSide } = call.step;
    void this.#notebook.write("faults", {
      candidate,
      section,
      item,
      side: markedSide,
      criterion,
      faults,
    });
  }

  overall(call: JudgeCall, candidate: CandidateId, judgement: number | null): void {
    void this.#notebook.write("overall", { candidate, section: call.step.section, judgement });
  }

  undo(): Undone | undefined {
    const last = lastUndoable(this.#notebook.book, this.#judge);
    if (!last) return undefined;
    const { kind, body, replaces } = undoOf(this.#notebook.book, last);
    void this.#notebook.write(kind, body, { replaces });
    if (last.kind === "mark") {
      const [first] = last.body.cells;
      return (
        first && {
          candidate: first.candidate,
          criterion: last.body.cells.length > 1 ? null : first.criterion,
        }
      );
    }
    return {
      candidate: last.body.candidate,
      criterion: last.kind === "faults" ? last.body.criterion : null,
    };
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

  #write(body: EntryBody<"mark">): void {
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
    void this.#notebook.write("mark", body, { replaces: [...replaces] });
  }
}
