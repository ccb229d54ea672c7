import type { CandidateId, CriterionId, SectionId } from "../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import type { Place } from "../../src/belt-test/scorebook/cell.ts";
import type { EntryBody, EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import { basisOf, lockBody } from "../../src/belt-test/scorebook/judge-view.ts";
import type { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import { lastUndoable, undoOf } from "../../src/belt-test/scorebook/undo.ts";
import { anId } from "../builders/an-id.ts";
import { type Page, Person } from "./person.ts";

/** Marks what is asked, sometimes twice, takes back, notes, steps back from a candidate, and locks. */
export class Judge extends Person {
  protected override work(notebook: Page) {
    const { book } = notebook;
    const { dice } = this;
    if (!book.plan.isStarted) return;
    const chance = dice.share();
    if (chance < 0.04) return this.#undo(notebook);
    if (chance < 0.06) return this.#note(notebook);
    if (chance < 0.065) return this.#stepBack(notebook);
    const [request] = book.requests.openTo(this.name);
    if (request && chance < 0.3) return this.#lookAgain(notebook, request);
    const sections = book.plan.rubrics.flatMap((rubric) => rubric.sections.map(({ id }) => id));
    if (sections.length === 0) return;
    const section = dice.pick(sections);
    const open = this.hall.candidates.filter((one) =>
      book.panel.judgesOf(one, section).includes(this.name),
    );
    const unlocked = open.filter((one) => !book.openings.hasLocked(this.name, one, section));
    // After the reveal a judge may mark again; most leave it.
    const at = unlocked.length > 0 ? unlocked : dice.falls(0.06) ? open : [];
    if (at.length === 0) return;
    const blank = at.flatMap((candidate) =>
      assignedPlaces(book, this.name, candidate, section).flatMap((place) =>
        book.marks.cell(this.name, candidate, place) ? [] : [{ candidate, place }],
      ),
    );
    if (blank.length === 0 && unlocked.length > 0 && dice.falls(0.7))
      return this.#finish(notebook, section, unlocked);
    if (blank.length > 0 && dice.falls(0.9)) this.#fill(notebook, dice.pick(blank), blank);
    else {
      const candidate = dice.pick(at);
      const places = assignedPlaces(book, this.name, candidate, section);
      if (places.length > 0) this.#tap(notebook, candidate, dice.pick(places));
    }
  }

  /** Marks what was asked about anew, or lets it be, and says so. */
  #lookAgain(notebook: Page, request: EntryOf<"remark-asked">) {
    const { candidate, section, item, side } = request.body;
    const { book } = notebook;
    if (this.dice.falls(0.5)) {
      const cell = {
        candidate,
        criterion: "chamber" as CriterionId,
        level: this.#level(book, section),
        how: "tapped" as const,
      };
      const body = { section, item, side, cells: [cell], answers: request.id };
      return this.judge(notebook, "mark", body);
    }
    const basis = basisOf(book, this.name, { candidate, section });
    this.write(notebook, "answered", { request: request.id, candidate, section, basis });
  }

  #level(book: Scorebook, section: SectionId): EntryBody<"mark">["cells"][number]["level"] {
    if (this.dice.falls(0.05)) return "not-seen";
    return this.dice.whole(
      1,
      section === "etiquette" ? 2 : (book.plan.rubrics[0]?.scale.levels.length ?? 4),
    );
  }
  #tap(notebook: Page, candidate: CandidateId, place: Place) {
    const { section, item, side, criterion } = place;
    const { book } = notebook;
    if (this.dice.falls(0.15)) {
      const faults = this.dice.falls(0.5) ? [anId("heel-up")] : [];
      return this.judge(notebook, "faults", { candidate, section, item, side, criterion, faults });
    }
    const seen = book.marks.cell(this.name, candidate, place);
    const cell = {
      candidate,
      criterion,
      level: this.#level(book, section),
      how: "tapped" as const,
    };
    this.judge(
      notebook,
      "mark",
      { section, item, side, cells: [cell] },
      seen ? { replaces: [seen.entry] } : {},
    );
  }
  /** One cell, or with one key everything that is blank at the same place. */
  #fill(
    notebook: Page,
    first: { candidate: CandidateId; place: Place },
    blank: readonly { candidate: CandidateId; place: Place }[],
  ) {
    if (this.dice.falls(0.45)) return this.#tap(notebook, first.candidate, first.place);
    const { section, item, side } = first.place;
    const here = blank.filter(({ place }) => place.item === item && place.side === side);
    const batch = `${this.name}-${notebook.book.lamport}-${notebook.book.size}`;
    for (const candidate of new Set(here.map((one) => one.candidate))) {
      const cells = here
        .filter((one) => one.candidate === candidate)
        .map(({ place: { criterion } }) => ({
          candidate,
          criterion,
          level: section === "etiquette" ? 2 : 3,
          how: "rest" as const,
        }));
      this.judge(notebook, "mark", { section, item, side, cells, batch });
    }
  }
  #finish(notebook: Page, section: SectionId, unlocked: CandidateId[]) {
    const { book } = notebook;
    const without = unlocked.filter(
      (candidate) => book.marks.overall(this.name, candidate, section) === null,
    );
    const [candidate] = without;
    if (candidate && section !== "etiquette")
      return this.judge(notebook, "overall", {
        candidate,
        section,
        judgement: this.dice.whole(1, 4),
      });
    for (const one of unlocked)
      this.write(notebook, "locked", lockBody(book, this.name, section, one));
  }
  #undo(notebook: Page) {
    const last = lastUndoable(notebook.book, this.name);
    if (!last) return;
    const undo = undoOf(notebook.book, last);
    const more = { replaces: undo.replaces };
    if (undo.kind === "mark") this.judge(notebook, "mark", undo.body, more);
    else if (undo.kind === "overall") this.judge(notebook, "overall", undo.body, more);
    else if (undo.kind === "faults") this.judge(notebook, "faults", undo.body, more);
    else this.write(notebook, "lanes-swapped", undo.body, more);
  }
  #note(notebook: Page) {
    const candidate = this.dice.pick(this.hall.candidates);
    const { ref, record } = this.text("chief", candidate);
    const where = { section: "blocks" as SectionId, item: null, side: null };
    this.judge(notebook, "note", { candidate, ...where, text: ref }, { sides: [record] });
  }
  #stepBack(notebook: Page) {
    const candidate = this.dice.pick(this.hall.candidates);
    if (this.dice.falls(0.8))
      this.write(notebook, "related", { candidate, relation: "own-student" });
    else this.write(notebook, "recused", { candidate, section: null });
  }
}
