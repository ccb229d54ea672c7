import { sheetOf } from "../../../src/belt-test/feedback/sheet-of.ts";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { isAllReleased } from "../../../src/belt-test/scorebook/all-released.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import { shippedLibrary } from "../../../src/hub/routes/shipped-library.ts";
import type { Page, Person } from "../../world/person.ts";

/** Settles the first open question of a candidate. */
export function settleOne(chief: Person, page: Page, candidate: CandidateId): void {
  const { dice } = chief;
  const questions = new Reconciler(page.book).outcome(candidate)?.questions ?? [];
  const [question] = questions.filter(({ isSettled }) => !isSettled || dice.falls(0.05));
  if (!question) return;
  const { ref, record } = chief.text("chief", candidate);
  const isStruck = question.judges !== undefined && dice.falls(0.4);
  chief.write(
    page,
    "review-settled",
    {
      question: question.key,
      candidate,
      decision: isStruck ? "struck" : "stands",
      ...(question.judges?.[0] && isStruck ? { judge: question.judges[0] } : {}),
      reason: ref,
    },
    { sides: [record] },
  );
}

/** Asks a judge about a technique, before the reveal or after it. */
export function askAgain(chief: Person, page: Page, candidate: CandidateId): void {
  const { dice } = chief;
  const { book } = page;
  const section = dice.pick(book.plan.rubrics[0]?.sections ?? []);
  const [judge] = book.panel.judgesOf(candidate, section.id);
  if (!judge || !dice.falls(0.3)) return;
  const item = dice.pick(section.items).id;
  const body = { judge, candidate, section: section.id, item, side: null, criterion: null };
  chief.write(page, "remark-asked", { ...body, ask: dice.pick(["blank", "talk"]) });
}

/** Issues what is computed. */
export function decideAsComputed(chief: Person, page: Page, candidate: CandidateId): void {
  const { book } = page;
  const outcome = new Reconciler(book).outcome(candidate);
  if (!outcome || (book.decisions.verdict(candidate) && !chief.dice.falls(0.1))) return;
  const { computed, retestSections } = outcome;
  if (computed === "incomplete" && !chief.dice.falls(0.03)) return;
  chief.write(page, "verdict", {
    candidate,
    result: computed === "pass" ? "pass" : "retest",
    retestSections: [...retestSections],
    computed,
    basis: book.basis,
  });
}

/** Chooses other lines for a sheet, or none, and adds a sentence. */
export function editSheet(chief: Person, page: Page, candidate: CandidateId): void {
  const { book } = page;
  const outcome = new Reconciler(book).outcome(candidate);
  const made = sheetOf(book, candidate, outcome, book.plan.library ?? shippedLibrary());
  if (!made || !chief.dice.falls(0.6)) return;
  const { ref, record } = chief.text("chief", candidate);
  const strong = made.choices.strong.slice(0, 2).map(({ key }) => key);
  const next = made.choices.next.slice(-2).map(({ key }) => key);
  chief.write(
    page,
    "sheet-edited",
    { candidate, ...(chief.dice.falls(0.7) ? { strong, next } : {}), words: ref },
    { sides: [record] },
  );
}

/** Gives each judge a page of their own, once every sheet is released. */
export function tellJudges(chief: Person, page: Page): void {
  const { book } = page;
  if (!isAllReleased(book) || !chief.dice.falls(0.3)) return;
  for (const { drift, odd, severity, pace, ...report } of new Reconciler(book).panel().judges)
    chief.write(page, "judge-told", {
      ...report,
      ...("reason" in pace ? {} : { pace: { ...pace } }),
      severity: severity && { ...severity },
      odd: odd.map((effect) => ({ ...effect })),
      drift: [...drift],
    });
}
