import type { CandidateId, ItemId, SectionId } from "../../src/belt-test/identity.ts";
import { isAway } from "../../src/belt-test/scorebook/presence.ts";
import { RULES } from "../../src/belt-test/scorebook/rules.ts";
import { heldOf } from "../../src/belt-test/scorebook/what-was-held.ts";
import { asOpened } from "../../src/belt-test/verdict/as-opened.ts";
import { caseOf } from "../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import { isIssuable } from "../../src/belt-test/verdict/question-queue.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { type Page, Person } from "./person.ts";

const rubric = aRubric();
/** Who takes a judge's place. */
export const SPARE = "judge-spare" as PersonId;

/** Plans, asks, opens what a lost judge never locked, decides, closes, and corrects. */
export class Chief extends Person {
  /** The whole plan, as the set-up writes it. */
  plan(notebook: Page) {
    const { judges, candidates } = this.hall;
    this.write(notebook, "opened", {
      title: "Simulated belt test",
      date: "2026-06-06",
      rules: RULES,
    });
    this.write(notebook, "frozen", { rubric });
    this.write(notebook, "seated", { person: this.name, roles: [...this.roles] });
    for (const person of [...judges, SPARE])
      this.write(notebook, "seated", { person, roles: ["judge"] });
    for (const [index, candidate] of candidates.entries()) {
      const { ref, record } = this.text("desk", candidate, "candidate");
      this.write(
        notebook,
        "entered",
        { candidate, number: index + 1, rubric: rubric.id, details: ref },
        { sides: [record] },
      );
    }
    this.write(notebook, "lined-up", { wave: 1, lanes: [...candidates] });
    for (const judge of judges)
      for (const { id: section } of rubric.sections)
        this.write(notebook, "assigned", { judge, section, candidates: [...candidates] });
    this.write(notebook, "started", {});
  }

  protected override work(notebook: Page) {
    const { book } = notebook;
    const { dice } = this;
    if (!book.plan.isStarted || dice.falls(0.3)) return;
    const { stops } = book.floor;
    if (stops.length > 0 && dice.falls(0.3))
      return this.write(notebook, "floor-cleared", { stops: stops.map(({ id }) => id) });
    const candidate = dice.pick(this.hall.candidates);
    if (dice.falls(0.06)) return this.#ask(notebook, candidate);
    if (book.erased.size === 0 && dice.falls(0.004))
      return this.write(notebook, "erased", { about: candidate });
    if (dice.falls(0.02)) return this.#goAwry(notebook, candidate);
    const isOpen = rubric.sections.every(({ id }) => book.openings.isRevealed(candidate, id));
    if (!isOpen) {
      if (dice.falls(0.01)) this.#openByHand(notebook, candidate);
      return;
    }
    if (!book.decisions.verdict(candidate)) return this.#decide(notebook, candidate);
    if (dice.falls(0.1)) return this.#settle(notebook, candidate);
    if (!book.decisions.release(candidate))
      return this.write(notebook, "sheet-released", { candidate });
    if (book.plan.isClosed) {
      if (dice.falls(0.04)) this.#correct(notebook, candidate);
      return;
    }
    const isDone = this.hall.candidates.every(
      (one) => book.decisions.release(one) || isAway(book.floor.presence(one)),
    );
    if (isDone && dice.falls(0.06)) this.write(notebook, "closed", {});
  }

  /** What a day does to a plan after marks were given. */
  #goAwry(notebook: Page, candidate: CandidateId) {
    const { book } = notebook;
    const { dice } = this;
    const judge = dice.pick(this.hall.judges);
    const what = dice.pick(["leaves", "back", "moves", "judge", "joins", "rubric"] as const);
    switch (what) {
      case "leaves":
        if (dice.falls(0.5)) this.write(notebook, "withdrawn", { candidate, why: "unwell" });
        else this.write(notebook, dice.pick(["absent", "unfit"] as const), { candidate });
        return;
      case "back": {
        const withdrawals = book.floor.withdrawals(candidate).map(({ id }) => id);
        this.write(notebook, "withdrawn", { candidate, why: null, withdrawals });
        return this.write(notebook, "checked-in", { candidate });
      }
      case "moves": {
        const rest = book.plan.lanes(1).filter((one) => one !== candidate);
        this.write(notebook, "lined-up", { wave: 1, lanes: rest });
        return this.write(notebook, "lined-up", { wave: 2, lanes: [candidate] });
      }
      case "judge":
        if (book.plan.seats.length > this.hall.judges.length + 1) return;
        this.write(notebook, "seated", { person: SPARE, roles: ["judge"] });
        return this.write(notebook, "judge-replaced", { judge, by: SPARE });
      case "joins": {
        const section = dice.pick(rubric.sections).id;
        return this.write(notebook, "assigned", { judge, section, candidates: [candidate] });
      }
      case "rubric": {
        const now = book.plan.rubric(rubric.id);
        const { ref, record } = this.text("chief", this.name);
        if (!now || now.version > rubric.version + 1) return;
        const next = { ...now, version: now.version + 1 };
        return this.write(
          notebook,
          "rubric-replaced",
          { rubric: next, reason: ref },
          { sides: [record] },
        );
      }
    }
  }

  #ask(notebook: Page, candidate: CandidateId) {
    const { book } = notebook;
    const section = "blocks" as SectionId;
    const [judge] = book.panel.judgesOf(candidate, section);
    if (!judge) return;
    if (!book.openings.isRevealed(candidate, section)) return;
    const item = "rising-block" as ItemId;
    const where = { section, item, side: "left" as const, criterion: null };
    this.write(notebook, "remark-asked", { judge, candidate, ...where, ask: "talk" });
  }
  #openByHand(notebook: Page, candidate: CandidateId) {
    const { ref, record } = this.text("chief", candidate);
    const section = this.dice.pick(rubric.sections).id;
    // What the screen shows as open it does not offer to open.
    if (notebook.book.openings.isRevealed(candidate, section)) return;
    this.write(
      notebook,
      "revealed",
      { section, candidates: [candidate], reason: ref },
      { sides: [record] },
    );
  }
  #decide(notebook: Page, candidate: CandidateId) {
    const { book } = notebook;
    const { ref, record } = this.text("chief", candidate);
    if (!book.plan.rubricOf(candidate)) return;
    const found = asOpened(outcome(caseOf(book, candidate)));
    const { computed } = found;
    const basis = { basis: heldOf(book, candidate) };
    // As the board issues what nothing stands in the way of; by name only with a reason.
    if (isIssuable(found) && computed !== "incomplete") {
      const retestSections = [...found.retestSections];
      this.write(notebook, "verdict", {
        candidate,
        result: computed,
        computed,
        retestSections,
        ...basis,
      });
      return;
    }
    const body = { candidate, result: "pass" as const, computed, retestSections: [], ...basis };
    this.write(notebook, "verdict", { ...body, reason: ref }, { sides: [record] });
  }
  #settle(notebook: Page, candidate: CandidateId) {
    const late = notebook.book.marks.late(candidate)[0];
    if (!late) return;
    const { ref, record } = this.text("chief", candidate);
    const question = `late/${late.judge}/${late.place.section}`;
    const decision = this.dice.pick(["late-counts", "late-refused"] as const);
    this.write(
      notebook,
      "review-settled",
      { question, candidate, decision, judge: late.judge, reason: ref },
      { sides: [record] },
    );
  }
  #correct(notebook: Page, candidate: CandidateId) {
    const { book } = notebook;
    const verdict = book.decisions.verdict(candidate);
    if (!verdict) return;
    const { ref, record } = this.text("chief", candidate);
    if (this.dice.falls(0.5))
      this.write(notebook, "correction", { of: verdict.id, reason: ref }, { sides: [record] });
    else this.#decide(notebook, candidate);
  }
}
