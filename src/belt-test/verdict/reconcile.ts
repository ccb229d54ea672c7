import type { PersonId } from "../../book/identity.ts";
import type { KnownSeverity } from "../../ratings/severity/severities.ts";
import type { Mark } from "../scorebook/cell.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { advised } from "./advised.ts";
import { caseOf } from "./case-of.ts";
import { lockedMarks } from "./locked-marks.ts";
import type { CandidateCase, Outcome } from "./outcome.ts";
import { outcome } from "./outcome-of.ts";
import { type NoCertainty, panelCertainty } from "./panel-certainty.ts";
import { type PanelSeverity, panelSeverity } from "./panel-severity.ts";
import { withCertainty } from "./with-certainty.ts";

/** One candidate of a test: the case, and the marks that stood at lock in open sections, by which the panel is known. */
export interface TestCase {
  from: CandidateCase;
  locked: readonly Mark[];
}

/**
 * Everything that is computed of a whole test, from plain data: of each candidate the outcome, with what the panel's severities and the certainty say of it.
 *
 * A test that goes on says the same of everybody, step by step (`Reconciler`, which asks anew only where something was written).
 *
 * @param beforehand  what was measured of judges before, in levels
 * @returns the outcomes in the order of the cases
 */
export function reconcile(
  cases: readonly TestCase[],
  beforehand?: ReadonlyMap<PersonId, KnownSeverity>,
): { severity: PanelSeverity; outcomes: Outcome[] } {
  const severity = panelSeverity(
    cases.flatMap(({ from: { candidate, rubric }, locked }) =>
      locked.length > 0 ? [{ candidate, rubric, marks: locked }] : [],
    ),
    beforehand,
  );
  const computed = cases.map(({ from, locked }) => ({ from, locked, outcome: outcome(from) }));
  const sure = panelCertainty(
    computed.map(({ from, locked, outcome: its }) => ({ ...from, marks: locked, outcome: its })),
    beforehand,
  );
  const outcomes = computed.map(({ from, outcome: its }) =>
    withCertainty(
      advised(its, from, severity),
      sure.get(from.candidate) ?? ("incomplete" satisfies NoCertainty),
      from.settlements,
    ),
  );
  return { severity, outcomes };
}

/** Everybody entered in a book whose rubric is in it, by number. */
export const casesOf = (book: Scorebook): TestCase[] =>
  book.plan.entrants.flatMap(({ candidate }) =>
    book.plan.rubricOf(candidate)
      ? [{ from: caseOf(book, candidate), locked: lockedMarks(book, candidate) }]
      : [],
  );
