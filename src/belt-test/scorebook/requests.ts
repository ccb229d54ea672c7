import type { EntryId, PersonId } from "../../book/identity.ts";
import { insertByAge } from "../../book/keyed.ts";
import { byAge } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import { sectionOf } from "../rubric/lookup.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import type { Place } from "./cell.ts";
import type { Decisions } from "./decisions.ts";
import type { EntryOf } from "./entry.ts";
import type { Folds } from "./folds.ts";
import type { Panel } from "./panel.ts";
import type { Plan } from "./plan.ts";

/** Where the chief asked for another look, and what was answered. */
export class Requests {
  readonly #versions: CandidateVersions;
  readonly #plan: Plan;
  readonly #panel: Panel;
  readonly #decisions: Decisions;
  readonly #asks: EntryOf<"remark-asked">[] = [];
  /** How each request was answered, by the request; the first answer stands. */
  readonly #answered = new Map<EntryId, EntryOf<"answered">>();

  constructor(
    versions: CandidateVersions,
    { plan, panel, decisions }: { plan: Plan; panel: Panel; decisions: Decisions },
  ) {
    this.#versions = versions;
    this.#plan = plan;
    this.#panel = panel;
    this.#decisions = decisions;
  }

  readonly folds = {
    "remark-asked": (entry) => {
      insertByAge(this.#asks, entry);
      // Marks may have come before the question that they answer.
      this.#versions.touch(entry.body.candidate);
    },
    answered: (entry) => {
      const { request, candidate } = entry.body;
      this.#versions.touch(candidate);
      const before = this.#answered.get(request);
      if (!before || byAge(entry, before) < 0) this.#answered.set(request, entry);
    },
  } satisfies Folds;

  /** All of them, oldest first. */
  get all(): readonly EntryOf<"remark-asked">[] {
    return this.#asks;
  }
  answer(request: EntryId): EntryOf<"answered"> | undefined {
    return this.#answered.get(request);
  }
  answersOf(candidate: CandidateId): EntryOf<"answered">[] {
    return [...this.#answered.values()].filter(({ body }) => body.candidate === candidate);
  }
  /** Whether a request asks this judge about this cell. A checklist is one board, so a request about any of its items names all. */
  isNamed(
    { body }: EntryOf<"remark-asked">,
    judge: PersonId,
    candidate: CandidateId,
    { section, item, side, criterion }: Place,
  ): boolean {
    if (body.candidate !== candidate || body.section !== section) return false;
    if (this.#panel.successor(body.judge) !== judge && body.judge !== judge) return false;
    const rubric = this.#plan.rubricOf(candidate);
    if (rubric && sectionOf(rubric, section)?.marking === "checklist") return true;
    if (body.item !== item || body.side !== side) return false;
    return body.criterion === null || body.criterion === criterion;
  }
  /** Requests to this judge that are not answered yet, and can be: none of a closed test, or from before a verdict. */
  openTo(judge: PersonId): EntryOf<"remark-asked">[] {
    if (this.#plan.isClosed) return [];
    return this.#asks.filter((ask) => {
      const verdict = this.#decisions.verdict(ask.body.candidate);
      return (
        (ask.body.judge === judge || this.#panel.successor(ask.body.judge) === judge) &&
        !this.#answered.has(ask.id) &&
        (!verdict || verdict.lamport < ask.lamport)
      );
    });
  }
}
