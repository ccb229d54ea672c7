import { useMemo } from "react";
import type { CandidateId } from "../../belt-test/identity.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { asOpened } from "../../belt-test/verdict/as-opened.ts";
import { isOpen } from "../../belt-test/verdict/is-open.ts";
import { isToSettle } from "../../belt-test/verdict/is-to-settle.ts";
import type { Outcome } from "../../belt-test/verdict/outcome.ts";
import type { PanelReport } from "../../belt-test/verdict/panel-report.ts";
import type { PanelSeverity } from "../../belt-test/verdict/panel-severity.ts";
import { type AskedQuestion, questionQueue } from "../../belt-test/verdict/question-queue.ts";
import { Reconciler } from "../../belt-test/verdict/reconciler.ts";
import type { VerdictDoubt } from "../../belt-test/verdict/verdict-doubt.ts";
import { useNotebook } from "./services.tsx";

/** One reconciler a book: it remembers the candidates nothing happened to. */
const reconcilers = new WeakMap<Scorebook, Reconciler>();

/** How severe the judges are, by what is open. */
export const severityOf = (book: Scorebook): PanelSeverity => reconcilerOf(book).severity();
/** The same without what was known beforehand. */
export const severityOfToday = (book: Scorebook): PanelSeverity =>
  reconcilerOf(book).severityOfToday();
/** How the panel worked together, by what is open. */
export const panelOf = (book: Scorebook): PanelReport => reconcilerOf(book).panel();

export interface Outcomes {
  /** Undefined for somebody who is not entered, or whose rubric has not arrived. */
  of: (candidate: CandidateId) => Outcome | undefined;
  /** Everybody entered, by number. */
  all: readonly Outcome[];
  /** Open questions of candidates without a verdict, and what came after one; weightiest first. */
  queue: readonly AskedQuestion[];
  /** Open questions of candidates whose verdict was issued over them; weightiest first. */
  answered: readonly AskedQuestion[];
  /** Why the verdict on somebody is not to be relied on; undefined where it can be, and where there is none. */
  doubt: (candidate: CandidateId) => VerdictDoubt | undefined;
}

function reconcilerOf(book: Scorebook): Reconciler {
  let reconciler = reconcilers.get(book);
  if (!reconciler) reconcilers.set(book, (reconciler = new Reconciler(book)));
  return reconciler;
}

export function outcomesOf(book: Scorebook): Outcomes {
  const known = reconcilerOf(book);
  const of = (candidate: CandidateId): Outcome | undefined => {
    const found = known.outcome(candidate);
    // The panel is reckoned with once there is a result to advise of, never while somebody's marks come in.
    return found && asOpened(isOpen(found) ? (known.advised(candidate) ?? found) : found);
  };
  const all = book.plan.entrants.flatMap(({ candidate }) => of(candidate) ?? []);
  const open = questionQueue(all);
  const isWaiting = (review: AskedQuestion) =>
    isToSettle(book, review, known.outcome(review.candidate)?.computed);
  return {
    of,
    all,
    doubt: (candidate) => known.doubt(candidate),
    queue: open.filter(isWaiting),
    answered: open.filter((review) => !isWaiting(review)),
  };
}

/** What is computed of everybody, up to date with the notebook. Nothing of marks that are not open yet is in it. */
export function useOutcomes(): Outcomes {
  const { book } = useNotebook();
  const { version } = book;
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book changes in place; its version says so.
  return useMemo(() => outcomesOf(book), [book, version]);
}
