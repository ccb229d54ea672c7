import type { PersonId } from "../../book/identity.ts";
import type { KnownSeverity } from "../../ratings/severity/severities.ts";
import type { CandidateId } from "../identity.ts";
import type { Mark } from "../scorebook/cell.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { advised } from "./advised.ts";
import { caseOf } from "./case-of.ts";
import { isOpen } from "./is-open.ts";
import { knownSeverities } from "./known-severities.ts";
import { lockedMarks } from "./locked-marks.ts";
import { markStrokes } from "./mark-strokes.ts";
import { type JudgeWays, judgeWays } from "./odd-effects.ts";
import type { Outcome } from "./outcome.ts";
import { outcome } from "./outcome-of.ts";
import { type Certainty, type NoCertainty, panelCertainty } from "./panel-certainty.ts";
import type { MarkedCandidate } from "./panel-marks.ts";
import { type PanelReport, panelReport } from "./panel-report.ts";
import { type PanelSeverity, panelSeverity } from "./panel-severity.ts";
import { type VerdictDoubt, verdictDoubt } from "./verdict-doubt.ts";
import { withCertainty } from "./with-certainty.ts";

type Certainties = ReadonlyMap<CandidateId, Certainty | NoCertainty>;

/**
 * The outcomes of a test that goes on: asks the scorebook anew only for candidates something was written of since the last time.
 * Always the same answer as reconciling everybody afresh (`reconcile`); an outcome nothing happened to is the very same object.
 */
export class Reconciler {
  readonly #book: Scorebook;
  readonly #known = new Map<CandidateId, { plan: number; version: number; outcome: Outcome }>();

  readonly #doubts = new Map<
    CandidateId,
    { plan: number; version: number; doubt: VerdictDoubt | undefined }
  >();
  readonly #locked = new Map<CandidateId, { version: number; marked: MarkedCandidate }>();
  #panel:
    | {
        given: readonly MarkedCandidate[];
        standard: number;
        beforehand: ReadonlyMap<PersonId, KnownSeverity>;
        severity: PanelSeverity;
      }
    | undefined;
  #report: { severity: PanelSeverity; plan: number; report: PanelReport } | undefined;
  readonly #advised = new Map<
    CandidateId,
    {
      from: Outcome;
      panel: PanelSeverity;
      sure: Certainty | NoCertainty;
      outcome: Outcome;
    }
  >();

  #certainty:
    | {
        severity: PanelSeverity;
        plan: number;
        outcomes: Outcome[];
        settled: readonly EntryOf<"review-settled">[];
        found: Certainties;
      }
    | undefined;

  constructor(book: Scorebook) {
    this.#book = book;
  }

  /** @returns undefined for somebody who is not entered, or whose rubric has not arrived yet. */
  outcome(candidate: CandidateId): Outcome | undefined {
    const plan = this.#book.planVersion;
    const version = this.#book.candidateVersion(candidate);
    const known = this.#known.get(candidate);
    if (known && known.plan === plan && known.version === version) return known.outcome;
    if (!this.#book.plan.rubricOf(candidate)) return undefined;
    const now = outcome(caseOf(this.#book, candidate));
    this.#known.set(candidate, { plan, version, outcome: now });
    return now;
  }

  /** Whether the verdict on a candidate can be relied on; undefined where it can, and where there is none. */
  doubt(candidate: CandidateId): VerdictDoubt | undefined {
    const plan = this.#book.planVersion;
    const version = this.#book.candidateVersion(candidate);
    const known = this.#doubts.get(candidate);
    if (known && known.plan === plan && known.version === version) return known.doubt;
    const doubt = verdictDoubt(this.#book, candidate);
    this.#doubts.set(candidate, { plan, version, doubt });
    return doubt;
  }

  /** Everybody entered, by number. */
  outcomes(): Outcome[] {
    return this.#book.plan.entrants.flatMap(({ candidate }) => this.outcome(candidate) ?? []);
  }

  /**
   * How severe the panel's judges are, by the marks that stood at lock in sections that are open. Reckoned when asked for, and anew only when one of those marks is another:
   * a mark that goes on, or a re-mark, changes nothing of it. Struck marks stay in: what the chief leaves out of one verdict still says how strictly its judge marked.
   */
  severity(): PanelSeverity {
    const given = this.#given();
    const known = this.#panel;
    const standard = this.#book.standards.version;
    if (known?.standard === standard && areTheSame(known.given, given)) return known.severity;
    const beforehand = knownSeverities(this.#book);
    const severity = panelSeverity(given, beforehand);
    this.#panel = { given, standard, beforehand, severity };
    return severity;
  }

  /** The same from today's marks alone, for keeping: what was known beforehand would count twice next time. */
  severityOfToday(): PanelSeverity {
    return panelSeverity(this.#given());
  }

  /** How the panel worked together, by the same marks; a new answer only when one of them is another, or somebody stands in another wave. */
  panel(): PanelReport {
    const severity = this.severity();
    const { planVersion } = this.#book;
    if (this.#report?.severity === severity && this.#report.plan === planVersion)
      return this.#report.report;
    const waveOf = this.#waveOf();
    const strokes = markStrokes(this.#book, waveOf);
    const report = panelReport(this.#given(), severity, waveOf, this.#isOwn, strokes);
    this.#report = { severity, plan: planVersion, report };
    return report;
  }

  /** Every effect of every judge with its error, for programs; reckoned when asked for. */
  ways(): JudgeWays[] {
    const waveOf = this.#waveOf();
    return judgeWays(this.#given(), waveOf, this.#isOwn, markStrokes(this.#book, waveOf));
  }

  #waveOf(): (candidate: CandidateId) => number {
    const waves = new Map(
      this.#book.plan.waves.flatMap(({ wave, lanes }) => lanes.map((who) => [who, wave] as const)),
    );
    return (who) => waves.get(who) ?? 0;
  }

  readonly #isOwn = (judge: PersonId, candidate: CandidateId): boolean =>
    this.#book.panel.relation(judge, candidate) === "own-student";

  #given(): MarkedCandidate[] {
    return this.#book.plan.entrants.flatMap(({ candidate }) => this.#lockedMarks(candidate) ?? []);
  }

  /** An outcome with what the panel's severities have to say of it; undefined as `outcome`. */
  advised(candidate: CandidateId): Outcome | undefined {
    const from = this.outcome(candidate);
    if (!from) return undefined;
    const panel = this.severity();
    const sure = this.certainty().get(candidate);
    if (!sure) throw new Error(`Reconciler.advised: no certainty of ${candidate}`);
    const known = this.#advised.get(candidate);
    // Somebody else's marks may be reckoned anew without saying anything new of this one.
    if (known?.from === from && known.panel === panel && isEqual(known.sure, sure))
      return known.outcome;
    const its = caseOf(this.#book, candidate);
    const now = withCertainty(advised(from, its, panel), sure, its.settlements);
    this.#advised.set(candidate, { from, panel, sure, outcome: now });
    return now;
  }

  /**
   * How sure every result is, by the marks that stood at lock; anew only when one of those marks, the plan, a settlement, or an outcome that is open, is another.
   * A settlement matters wherever it is: the marks of everybody are pooled, less those that were struck, also of somebody whose result is not open yet.
   */
  certainty(): Certainties {
    const severity = this.severity();
    const outcomes = this.outcomes();
    const plan = this.#book.planVersion;
    const settled = outcomes.flatMap(({ candidate }) =>
      this.#book.decisions.settlements(candidate),
    );
    const known = this.#certainty;
    if (
      known?.severity === severity &&
      known.plan === plan &&
      areTheSame(known.settled, settled) &&
      known.outcomes.length === outcomes.length &&
      known.outcomes.every((one, at) => saysTheSame(one, outcomes[at] as Outcome))
    )
      return known.found;
    const found = panelCertainty(
      outcomes.flatMap((outcome) => {
        const { candidate, excused, settlements, rubric } = caseOf(this.#book, outcome.candidate);
        const marks = this.#lockedMarks(candidate)?.marks ?? [];
        return [{ candidate, rubric, marks, outcome, excused, settlements }];
      }),
      this.#panel?.beforehand,
    );
    this.#certainty = { severity, plan, outcomes, settled, found };
    return found;
  }

  #lockedMarks(candidate: CandidateId): MarkedCandidate | undefined {
    const book = this.#book;
    const rubric = book.plan.rubricOf(candidate);
    if (!rubric) return undefined;
    const version = book.planVersion + book.candidateVersion(candidate);
    const known = this.#locked.get(candidate);
    if (known?.version === version) return known.marked.marks.length > 0 ? known.marked : undefined;
    const marks = lockedMarks(book, candidate);
    const isSame = known && known.marked.rubric === rubric && areSame(known.marked.marks, marks);
    const marked = isSame ? known.marked : { candidate, rubric, marks };
    this.#locked.set(candidate, { version, marked });
    return marks.length > 0 ? marked : undefined;
  }
}

const areTheSame = <T>(a: readonly T[], b: readonly T[]): boolean =>
  a.length === b.length && a.every((one, at) => one === b[at]);

/** Plain data, always built in the same order. */
const isEqual = (a: unknown, b: unknown): boolean =>
  a === b || JSON.stringify(a) === JSON.stringify(b);

/** For certainty: the same outcome, or one of somebody whose marks are still coming in, of whom nothing is said either way. */
const saysTheSame = (a: Outcome, b: Outcome): boolean =>
  a === b || (a.candidate === b.candidate && a.presence === b.presence && !isOpen(a) && !isOpen(b));

const areSame = (a: readonly Mark[], b: readonly Mark[]): boolean =>
  a.length === b.length &&
  a.every((one, at) => {
    const other = b[at] as Mark;
    return (
      one.judge === other.judge &&
      one.level === other.level &&
      one.how === other.how &&
      one.section === other.section &&
      one.item === other.item &&
      one.side === other.side &&
      one.criterion === other.criterion
    );
  });
