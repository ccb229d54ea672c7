import type { CandidateId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { type EntryOf, isKnown } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { bookAt } from "./book-at.ts";
import { computedByWholePlan } from "./by-whole-plan.ts";
import { caseOf } from "./case-of.ts";
import { isOpen } from "./is-open.ts";
import type { Outcome } from "./outcome.ts";
import { outcome } from "./outcome-of.ts";
import { standingVerdicts, verdictsSoFar } from "./standing-verdicts.ts";
import { areTheSame, faultByWhatIsHere, isReckonable } from "./verdict-fault.ts";

/**
 * Why a verdict that was taken is not to be relied on. `not-here`: what is here, and open, does not come to it, and it rests on more; the tablet has still to
 * come, or there never was any. `unreasoned`: it is not what its marks come to, or not by all of the plan that was there, and nobody wrote why. `rival`: somebody gave
 * another result, or other sections to repeat, or gave it by another rubric, and neither knew of the other. `withdrawn`: a retest, by somebody who did not know that the
 * child had withdrawn, which is no fail. `other-rubric`: it was given by another rubric than the child is tested by now, which may be to another belt. `overtaken`: what
 * came since (a settlement of a chief who was off the line, marks that were let in) comes to something else than was computed then, and than was given.
 */
export type VerdictDoubt =
  | "not-here"
  | "unreasoned"
  | "rival"
  | "withdrawn"
  | "other-rubric"
  | "overtaken";

export interface DoubtedVerdict {
  candidate: CandidateId;
  number: number | undefined;
  result: EntryOf<"verdict">["body"]["result"];
  doubt: VerdictDoubt;
  /** What the marks come to that the verdict says it was given on; of marks that are not here, nothing. */
  computed: Outcome["computed"];
}

/**
 * Whether a verdict can be relied on. A hub put back from an older copy takes one that rests on what it has lost, since the chief examiner decided it and
 * nothing is to be lost twice; a file is read whatever it says. Until those marks come the verdict is doubted, and nobody is handed a sheet of it; when they
 * come it is reckoned.
 *
 * @returns undefined where there is no verdict, where it can be relied on, and by the first rules.
 */
export const verdictDoubt = (book: Scorebook, candidate: CandidateId): VerdictDoubt | undefined =>
  doubted(book, candidate)?.doubt;

/** All verdicts of a book that cannot be relied on, by number. */
export const doubtedVerdicts = (book: Scorebook): DoubtedVerdict[] =>
  book.plan.entrants.flatMap(({ candidate, number }) => {
    const verdict = book.decisions.verdict(candidate);
    const found = doubted(book, candidate);
    return verdict && found ? [{ candidate, number, result: verdict.body.result, ...found }] : [];
  });

function doubted(
  book: Scorebook,
  candidate: CandidateId,
): Pick<DoubtedVerdict, "doubt" | "computed"> | undefined {
  const verdict = book.decisions.verdict(candidate);
  if (!verdict || book.plan.rules === 1) return undefined;
  if (rivals(book, candidate).length > 0)
    return { doubt: "rival", computed: verdict.body.computed };
  const withdrawn = book.floor.withdrawnBy(candidate);
  const { ofWithdrawn } = verdict.body;
  const isUnknown = ofWithdrawn !== undefined && ofWithdrawn !== withdrawn?.id;
  if (withdrawn && verdict.body.result === "retest" && isUnknown)
    return { doubt: "withdrawn", computed: verdict.body.computed };
  if (isByOtherRubric(book, verdict))
    return { doubt: "other-rubric", computed: verdict.body.computed };
  const fault = faultByWhatIsHere(book, verdict);
  // What is lacking may say nothing of this result: where the rest comes to the same, nobody needs it.
  if (fault && !isReckonable(book, verdict)) return { doubt: "not-here", computed: "incomplete" };
  const { result, computed } = verdict.body;
  if (fault?.code === "REASON_MISSING" && result !== computed)
    return { doubt: "unreasoned", computed };
  const other =
    fault?.code === "COMPUTED_OTHER"
      ? (fault.with?.computed as Outcome["computed"])
      : otherByWholePlan(book, verdict);
  // Whoever leaves opens sections, in no basis, and may come back: nobody can tell what was open then.
  if (other && (other !== "incomplete" || !hasEverLeft(book, candidate)))
    return { doubt: "unreasoned", computed: other };
  const since = overtakenBy(book, verdict);
  return since && { doubt: "overtaken", computed: since };
}

/**
 * What is computed now, where that is neither what was when the verdict was issued nor what it gives; undefined else. Also of whoever has left since: that takes no
 * doubt away.
 */
function overtakenBy(
  book: Scorebook,
  { body }: EntryOf<"verdict">,
): Outcome["computed"] | undefined {
  const { candidate, basis, result, computed, retestSections, reason } = body;
  if (!book.plan.rubricOf(candidate)) return undefined;
  const now = outcome(caseOf(book, candidate));
  if (!isOpen(now)) return undefined;
  if (now.computed !== computed && now.computed !== result) return now.computed;
  // The same result, and other sections to repeat.
  if (now.computed !== "retest" || areTheSame(now.retestSections, retestSections)) return undefined;
  if (now.computed !== computed) return "retest";
  // A reason may be one for other sections than were computed.
  const then = reason && outcome(caseOf(bookAt(book, candidate, basis), candidate));
  return then && areTheSame(now.retestSections, then.retestSections) ? undefined : "retest";
}

/** What all of the plan comes to where that is neither what the verdict says was computed nor what it gives; undefined else. */
function otherByWholePlan(
  book: Scorebook,
  verdict: EntryOf<"verdict">,
): Outcome["computed"] | undefined {
  const { result, computed } = verdict.body;
  // “Incomplete” always has a reason beside it.
  if (computed === "incomplete" || !isReckonable(book, verdict)) return undefined;
  const whole = computedByWholePlan(book, verdict);
  return whole === computed || whole === result ? undefined : whole;
}

/** Verdicts that say something else than the one that stands, and that nobody has taken the place of. */
export const rivals = (book: Scorebook, candidate: CandidateId): EntryOf<"verdict">[] => {
  const verdict = book.decisions.verdict(candidate);
  return standingVerdicts(book, candidate).filter(
    (one) => verdict && said(book, one) !== said(book, verdict),
  );
};
/** What a verdict written now says of what its writer knows. */
export const knownAtVerdict = (
  book: Scorebook,
  candidate: CandidateId,
): Pick<EntryOf<"verdict">["body"], "after" | "ofWithdrawn"> => ({
  after: verdictsSoFar(book, candidate),
  ofWithdrawn: book.floor.withdrawnBy(candidate)?.id ?? null,
});

function said(book: Scorebook, verdict: EntryOf<"verdict">): string {
  const { result, retestSections } = verdict.body;
  return `${rubricOfVerdict(book, verdict)?.id} ${result} ${retestSections.toSorted()}`;
}

function isByOtherRubric(book: Scorebook, verdict: EntryOf<"verdict">): boolean {
  const now = book.plan.rubricOf(verdict.body.candidate);
  const then = rubricOfVerdict(book, verdict);
  // One frozen twice is the same. A basis that speaks of none says of nothing that it was had.
  return then !== undefined && now !== then && JSON.stringify(now) !== JSON.stringify(then);
}

/** By which rubric its writer had the child tested; undefined where its basis speaks of none. */
function rubricOfVerdict(book: Scorebook, { body }: EntryOf<"verdict">): Rubric | undefined {
  const { candidate, basis } = body;
  const isOnly = book.plan.rubricsEver(candidate).length === 1;
  return (isOnly ? book : bookAt(book, candidate, basis)).plan.rubricOf(candidate);
}

/** By which rubrics the verdicts were given that no other takes the place of, each once; none of a verdict whose basis speaks of none. */
export function rubricsOfVerdicts(book: Scorebook, candidate: CandidateId): Rubric[] {
  const newest = book.decisions.verdict(candidate);
  const all = [...(newest ? [newest] : []), ...standingVerdicts(book, candidate)];
  const found = all.flatMap((one) => rubricOfVerdict(book, one) ?? []);
  return [...new Map(found.map((rubric) => [rubric.id, rubric])).values()];
}

function hasEverLeft(book: Scorebook, candidate: CandidateId): boolean {
  for (const entry of book.entries())
    if (isKnown(entry) && entry.kind === "withdrawn" && entry.body.candidate === candidate)
      return true;
  return false;
}
