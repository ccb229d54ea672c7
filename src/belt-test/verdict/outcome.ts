import type { PersonId } from "../../book/identity.ts";
import type { NoSeverity } from "../../ratings/severity/severities.ts";
import type { CandidateId, CriterionId, ItemId, RubricId, SectionId } from "../identity.ts";
import type { Computed, VerdictResult } from "../kinds/decision.ts";
import type { Rubric, Side } from "../rubric/rubric.ts";
import type { Mark, Place } from "../scorebook/cell.ts";
import type { EntryBody } from "../scorebook/entry.ts";
import type { Presence } from "../scorebook/presence.ts";
import type { Rules } from "../scorebook/rules.ts";
import type { Unmet } from "./lines.ts";
import type { Certainty, NoCertainty } from "./panel-certainty.ts";

/** A judge who is to mark a candidate in a section, and whether that judge has locked. */
export interface JudgeAssigned {
  judge: PersonId;
  section: SectionId;
  /** Absent: every item (and the once-a-section criteria). */
  items?: readonly ItemId[] | undefined;
  /** Absent: every criterion. */
  criteria?: readonly CriterionId[] | undefined;
  hasLocked: boolean;
  /** Of each place of this judge's who had it before: what they marked is not missing. */
  before?: readonly (readonly PersonId[])[] | undefined;
}

/** A question the chief has settled. */
export interface Settlement {
  question: string;
  decision: EntryBody<"review-settled">["decision"];
  /** Whose marks are struck, when the decision is `struck`. */
  judge?: PersonId | undefined;
}

/** Everything reconciling needs to know of one candidate: plain data, taken from the scorebook by case-of.ts. */
export interface CandidateCase {
  candidate: CandidateId;
  rubric: Rubric;
  /** By which rules the book is read. */
  rules: Rules;
  presence: Presence;
  /** The marks that count for the verdict: re-marks included, late marks only where the chief let them. */
  marks: readonly Mark[];
  /** 1 clear retest, 2 borderline, 3 pass, 4 strong. */
  overalls: readonly { judge: PersonId; section: SectionId; judgement: number }[];
  judges: readonly JudgeAssigned[];
  /** Sections whose marks are open. Nothing is asked about the others yet. */
  revealed: readonly SectionId[];
  excused: readonly ItemId[];
  relations: readonly { judge: PersonId; relation: EntryBody<"related">["relation"] }[];
  /** Cells where two tablets of one judge disagree, and the levels they say. */
  conflicts: readonly { judge: PersonId; place: Place; levels: readonly number[] }[];
  /** What would stand if these marks counted; null for not seen or blank. */
  late: readonly { judge: PersonId; place: Place; level: number | null }[];
  settlements: readonly Settlement[];
}

/** A number in percent: as a fraction in lowest terms ("1197/50"), and near enough for the eye. */
export interface Percent {
  exact: string;
  percent: number;
}

/** Why there is no adjusted score beside a score. */
export type NotAdjusted =
  | NoSeverity
  /** All judges marked everybody alike: their differences cancel out in every score. */
  | "nothing-to-gain"
  /** Nobody has been marked and opened yet, or this candidate's score is not complete. */
  | "no-score";

export interface SectionOutcome {
  id: SectionId;
  /** null: not enough was seen to say, or every item is excused. */
  score: Percent | null;
  /** Percent. */
  floor: number;
  /** Share of the section's weight that somebody saw, 0–1; excused items are outside it. 1 where all is excused. */
  seen: number;
  /** All items of this section are excused: it counts nowhere. */
  isExcused: boolean;
  isRevealed: boolean;
  /** What it does not reach, in the rubric's order. */
  unmet: readonly Unmet[];
}

/** What the judges' marks of one cell come to. */
export interface PanelMark extends Place {
  /** In levels; an exact fraction as text beside it. */
  level: number;
  exact: string;
  /** Everybody who saw it and whose mark was not struck. */
  judges: readonly PersonId[];
  /** Those whose mark is in it: the rule may leave the highest and lowest out. */
  used: readonly PersonId[];
}

export type QuestionKind =
  /** Two judges are `gap` levels apart on one cell. */
  | "level-gap"
  /** Of items of a list one judge says done and another not done. */
  | "list-split"
  /** Overall judgements of a section: one says retest, another pass or strong. */
  | "overall-split"
  /** The judges' overall judgement and the section's own score say different things. */
  | "overall-mismatch"
  /** The total is within the band around the pass mark. */
  | "borderline"
  /** One judge stands alone in a section. */
  | "lone-dissent"
  /** Fewer judges than the quorum saw an item. */
  | "no-quorum"
  /** So little was seen, or a must-show not at all, that there is no verdict. */
  | "unseen"
  /** A judge locked and left assigned cells blank. */
  | "blank"
  /** A judge has declared a relation with the candidate. */
  | "relation"
  /** Two tablets of one judge say different things. */
  | "conflict"
  /** Marks came that their judge's lock did not speak of. */
  | "late"
  /** Had every judge been as severe as every other, the result would be another. */
  | "severity"
  /** The marks leave the result open, and no other question could turn it. */
  | "doubtful";

export interface Question {
  kind: QuestionKind;
  /** Names the question for ever, so that it can be settled: see `question-keys.ts`. */
  key: string;
  section?: SectionId | undefined;
  item?: ItemId | null | undefined;
  side?: Side | null | undefined;
  criterion?: CriterionId | undefined;
  judges?: readonly PersonId[] | undefined;
  /** Those of `judges` whose mark is the lower one, where two sides are apart. */
  lower?: readonly PersonId[] | undefined;
  /** In levels; for `borderline` in percentage points from the pass mark (negative below it); for `severity` what adjusting adds to the total; for `doubtful` how many of 100 equally good panels would give the other result. */
  gap?: number | undefined;
  /** How many cells it speaks of, where there is more than one. */
  cells?: number | undefined;
  /** Whether settling it could change the computed result. */
  effect: "could-change" | "no-effect";
  /** Settling it could turn pass, retest and incomplete into one another, not only which sections are to be repeated. */
  flips: boolean;
  /** How far settling it could move the total, in percentage points; 0 where it moves none. */
  swing: number;
  /** The chief has settled it: kept for the record, out of the queue. */
  isSettled: boolean;
}

/** A score beside the score: what it would be had every judge been as severe as every other, or as the standard. Advice, never a verdict. */
export interface AdjustedResult {
  /** Percent, 0–100. */
  score: number;
  /** How far that is from the score by the rubric's rule, in percentage points, and the standard error of that. */
  change: number;
  se: number;
  /** `panel`: everybody as the panel's mean. `standard`: anchors or earlier tests say where the standard is. */
  to: "panel" | "standard";
  sections: readonly { id: SectionId; score: number | null }[];
  computed: VerdictResult;
  retestSections: readonly SectionId[];
}

/** What is computed of one candidate. People issue verdicts; this is what they are shown. */
export interface Outcome {
  candidate: CandidateId;
  rubric: RubricId;
  presence: Presence;
  computed: Computed;
  /** null where a section has no score for want of marks. */
  score: Percent | null;
  /** By the rubric's rounding, in percent; this is what the pass mark is compared with. */
  scoreRounded: number | null;
  sections: readonly SectionOutcome[];
  /** Sections to repeat; empty unless `computed` is "retest". */
  retestSections: readonly SectionId[];
  panelMarks: readonly PanelMark[];
  /** Strongest effect first. */
  questions: readonly Question[];
  /** Absent until somebody reckons the whole panel (see advised.ts); null where there is nothing to adjust, with the reason. */
  adjusted?: AdjustedResult | null | undefined;
  adjustedReason?: NotAdjusted | undefined;
  /** How sure the result is. Absent until somebody reckons the whole panel (see panel-certainty.ts); null where the marks cannot say, with the reason. */
  certainty?: Certainty | null | undefined;
  certaintyReason?: NoCertainty | undefined;
}
