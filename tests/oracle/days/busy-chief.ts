import { sheetOf } from "../../../src/core/feedback/sheet-of.ts";
import type {
  AnchorId,
  CandidateId,
  GradingId,
  PersonId,
  SectionId,
} from "../../../src/core/identity.ts";
import type { Role } from "../../../src/core/scorebook/entry.ts";
import { RULES } from "../../../src/core/scorebook/rules.ts";
import type { SideRecord } from "../../../src/core/scorebook/side-record.ts";
import { Reconciler } from "../../../src/core/verdict/reconciler.ts";
import { shippedLibrary } from "../../../src/hub/shipped-library.ts";
import { makeSideRecord } from "../../../src/sync/make-side-record.ts";
import { Chief, SPARE } from "../../world/chief.ts";
import type { Page } from "../../world/person.ts";
import { anchorMarks, excuse, swapLanes } from "./busy-people.ts";
import { busyRubric } from "./busy-rubric.ts";

const ANCHOR = "anchor-1" as AnchorId;
const BLOCKS = "blocks" as SectionId;

/** The chief of a day on which everything happens that may happen to a test. */
export class BusyChief extends Chief {
  override plan(page: Page) {
    const { dice } = this;
    const { judges, candidates } = this.hall;
    const rubric = busyRubric(dice);
    this.write(page, "opened", { title: "Busy belt test", date: "2026-06-06", rules: RULES });
    this.write(page, "frozen", { rubric });
    if (dice.falls(0.3)) this.write(page, "faults-frozen", { library: shippedLibrary() });
    for (const person of judges) this.write(page, "seated", { person, roles: ["judge"] });
    const isJudge = this.roles.includes("judge");
    const seat = (person: PersonId, roles: Role[]) => {
      const { ref, record } = this.text("chief", person, "person");
      this.write(page, "seated", { person, roles, details: ref }, { sides: [record] });
    };
    seat(this.name, [...this.roles]);
    if (dice.falls(0.5)) seat("caller" as PersonId, ["caller"]);
    for (const [index, candidate] of candidates.entries()) {
      const { ref: details, record } = this.text("desk", candidate, "candidate");
      const given = givenOf(record, `Given-${candidate}`);
      this.write(
        page,
        "entered",
        { candidate, number: index + 1, rubric: rubric.id, details, given: given.ref },
        { sides: [record, given.record] },
      );
    }
    this.write(page, "lined-up", { wave: 1, lanes: [...candidates] });
    for (const judge of isJudge ? [...judges, this.name] : judges)
      for (const { id: section } of rubric.sections)
        this.write(page, "assigned", {
          judge,
          section,
          candidates: [...candidates],
          ...(dice.falls(0.3) ? { wave: 1 } : {}),
        });
    if (dice.falls(0.5)) {
      const body = { anchor: ANCHOR, rubric: rubric.id, section: BLOCKS, isOpen: true };
      this.write(page, "anchor-set", body);
    }
    if (dice.falls(0.5)) this.#keepSeverity(page);
    this.write(page, "started", {});
  }

  protected override work(page: Page) {
    const { book } = page;
    const { dice } = this;
    if (!book.isStarted || dice.falls(0.5)) return super.work(page);
    const candidate = dice.pick(this.hall.candidates);
    if (book.anchors.length > 0 && dice.falls(book.calls.length === 0 ? 0.3 : 0.01))
      return this.#anchor(page);
    const act = dice.pick<() => void>([
      () => this.#settleOne(page, candidate),
      () => this.#askAgain(page, candidate),
      () => this.#decideAsComputed(page, candidate),
      () => this.#editSheet(page, candidate),
      () => this.#tell(page),
      () => dice.falls(0.25) && this.#changeRubric(page),
      () => dice.falls(0.1) && this.#keepSeverity(page),
      () => dice.falls(0.1) && this.#replaceJudge(page),
      () => dice.falls(0.1) && this.#takeOff(page, candidate),
      () => dice.falls(0.1) && excuse(this, page),
      () => dice.falls(0.1) && swapLanes(this, page),
      () => {
        if (dice.falls(0.1))
          this.write(page, "severities-used", {
            anchors: dice.falls(0.5),
            history: dice.falls(0.5),
          });
      },
    ]);
    act();
  }

  #anchor(page: Page) {
    const { dice } = this;
    const its = page.book.anchor(ANCHOR);
    if (!its || dice.falls(0.1)) {
      if (its) this.write(page, "anchor-set", { ...its, isOpen: !its.isOpen });
      return;
    }
    const { anchor, marks } = anchorMarks(page.book, ANCHOR, dice);
    this.write(page, "anchor-agreed", { anchor, marks });
  }
  #keepSeverity(page: Page) {
    const { dice } = this;
    const kept = { severity: dice.between(-0.6, 0.6), sd: dice.between(0.1, 0.5) };
    this.write(page, "severity-kept", {
      judge: dice.pick(this.hall.judges),
      from: "earlier-test" as GradingId,
      date: "2026-01-10",
      kept: dice.falls(0.1) ? null : kept,
    });
  }
  #settleOne(page: Page, candidate: CandidateId) {
    const { dice } = this;
    const flags = new Reconciler(page.book).outcome(candidate)?.flags ?? [];
    const [flag] = flags.filter(({ isSettled }) => !isSettled || dice.falls(0.05));
    if (!flag) return;
    const { ref, record } = this.text("chief", candidate);
    const isStruck = flag.judges !== undefined && dice.falls(0.4);
    this.write(
      page,
      "review-settled",
      {
        question: flag.key,
        candidate,
        decision: isStruck ? "struck" : "stands",
        ...(flag.judges?.[0] && isStruck ? { judge: flag.judges[0] } : {}),
        reason: ref,
      },
      { sides: [record] },
    );
  }
  #askAgain(page: Page, candidate: CandidateId) {
    const { dice } = this;
    const { book } = page;
    const section = dice.pick(book.rubrics[0]?.sections ?? []);
    const [judge] = book.judgesOf(candidate, section.id);
    if (!judge || !dice.falls(0.3)) return;
    const item = dice.pick(section.items).id;
    const body = { judge, candidate, section: section.id, item, side: null, criterion: null };
    this.write(page, "remark-asked", { ...body, ask: dice.pick(["blank", "talk"]) });
  }
  #decideAsComputed(page: Page, candidate: CandidateId) {
    const { book } = page;
    const outcome = new Reconciler(book).outcome(candidate);
    if (!outcome || (book.verdict(candidate) && !this.dice.falls(0.1))) return;
    const { computed, retestSections } = outcome;
    if (computed === "incomplete" && !this.dice.falls(0.03)) return;
    this.write(page, "verdict", {
      candidate,
      result: computed === "pass" ? "pass" : "retest",
      retestSections: [...retestSections],
      computed,
      basis: book.basis,
    });
  }
  #editSheet(page: Page, candidate: CandidateId) {
    const { book } = page;
    const outcome = new Reconciler(book).outcome(candidate);
    const made = sheetOf(book, candidate, outcome, book.library ?? shippedLibrary());
    if (!made || !this.dice.falls(0.6)) return;
    const { ref, record } = this.text("chief", candidate);
    const strong = made.choices.strong.slice(0, 2).map(({ key }) => key);
    const next = made.choices.next.slice(-2).map(({ key }) => key);
    this.write(
      page,
      "sheet-edited",
      { candidate, ...(this.dice.falls(0.7) ? { strong, next } : {}), words: ref },
      { sides: [record] },
    );
  }
  #tell(page: Page) {
    const { book } = page;
    if (!book.isReleased || !this.dice.falls(0.3)) return;
    for (const { drift, odd, severity, pace, ...report } of new Reconciler(book).panel().judges)
      this.write(page, "judge-told", {
        ...report,
        ...("reason" in pace ? {} : { pace: { ...pace } }),
        severity: severity && { ...severity },
        odd: odd.map((effect) => ({ ...effect })),
        drift: [...drift],
      });
  }
  #changeRubric(page: Page) {
    const { dice } = this;
    const [now] = page.book.rubrics;
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
    if (page.book.seat(SPARE)) return;
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

/** The given name as a record of its own, beside the one that holds the rest. */
const givenOf = ({ id, grading, about }: SideRecord, given: string) =>
  makeSideRecord(
    { grading, about, kind: "candidate", body: { given } },
    { makeId: () => `${id}-given`, random: (bytes) => new Uint8Array(bytes) },
  );
