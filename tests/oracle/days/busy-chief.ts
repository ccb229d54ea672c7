import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { Chief, SPARE } from "../../world/chief.ts";
import type { Page } from "../../world/person.ts";
import { askAgain, decideAsComputed, editSheet, settleOne, tellJudges } from "./busy-decisions.ts";
import { anchorMarks, excuse, swapLanes } from "./busy-people.ts";
import { ANCHOR, BLOCKS, keepSeverity, writeBusyPlan } from "./busy-plan.ts";

/** The chief of a day on which everything happens that may happen to a test. */
export class BusyChief extends Chief {
  override plan(page: Page) {
    writeBusyPlan(this, page, this.hall);
  }

  protected override work(page: Page) {
    const { book } = page;
    const { dice } = this;
    if (!book.plan.isStarted || dice.falls(0.5)) return super.work(page);
    const candidate = dice.pick(this.hall.candidates);
    if (book.standards.anchors.length > 0 && dice.falls(book.floor.calls.length === 0 ? 0.3 : 0.01))
      return this.#anchor(page);
    const act = dice.pick<() => void>([
      () => settleOne(this, page, candidate),
      () => askAgain(this, page, candidate),
      () => decideAsComputed(this, page, candidate),
      () => editSheet(this, page, candidate),
      () => tellJudges(this, page),
      () => dice.falls(0.25) && this.#changeRubric(page),
      () => dice.falls(0.1) && keepSeverity(this, page, this.hall.judges),
      () => dice.falls(0.1) && this.#replaceJudge(page),
      () => dice.falls(0.1) && this.#takeOff(page, candidate),
      () => dice.falls(0.1) && excuse(this, page),
      () => dice.falls(0.1) && swapLanes(this, page),
      () => dice.falls(0.1) && this.#chooseSeverities(page),
    ]);
    act();
  }

  /** Says what was agreed of the anchor; or takes it back, or brings it back. */
  #anchor(page: Page) {
    const { dice } = this;
    const its = page.book.standards.anchor(ANCHOR);
    if (!its || dice.falls(0.1)) {
      if (its) this.write(page, "anchor-set", { ...its, isOpen: !its.isOpen });
      return;
    }
    const { anchor, marks } = anchorMarks(page.book, ANCHOR, dice);
    this.write(page, "anchor-agreed", { anchor, marks });
  }
  #chooseSeverities(page: Page) {
    const { dice } = this;
    const used = { anchors: dice.falls(0.5), history: dice.falls(0.5) };
    this.write(page, "severities-used", used);
  }
  #changeRubric(page: Page) {
    const { dice } = this;
    const [now] = page.book.plan.rubrics;
    if (!now || now.version > 3) return;
    const { ref, record } = this.text("chief", this.name);
    const rubric = {
      ...now,
      version: now.version + 1,
      pass: { ...now.pass, mark: dice.whole(40, 80) },
      sections: now.sections.map((section) => ({ ...section, weight: dice.whole(1, 5) })),
    };
    this.write(page, "rubric-replaced", { rubric, reason: ref }, { sides: [record] });
  }
  #replaceJudge(page: Page) {
    if (page.book.plan.seat(SPARE)) return;
    this.write(page, "seated", { person: SPARE, roles: ["judge"] });
    this.write(page, "judge-replaced", { judge: this.dice.pick(this.hall.judges), by: SPARE });
  }
  /** A judge's watch without one of the children, or with all again. */
  #takeOff(page: Page, candidate: CandidateId) {
    const { dice } = this;
    const rest = this.hall.candidates.filter((one) => one !== candidate);
    const candidates = dice.falls(0.5) ? rest : [...this.hall.candidates];
    const judge = dice.pick(this.hall.judges);
    this.write(page, "assigned", { judge, section: BLOCKS, candidates, wave: 1 });
  }
}
