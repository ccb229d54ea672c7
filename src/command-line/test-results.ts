import type { CandidateId, SectionId } from "../belt-test/identity.ts";
import type { VerdictResult } from "../belt-test/kinds/decision.ts";
import type { Rubric } from "../belt-test/rubric/rubric.ts";
import type { Mark } from "../belt-test/scorebook/cell.ts";
import type { LetIn } from "../belt-test/scorebook/let-ins.ts";
import type { JudgeReport } from "../belt-test/verdict/judge-report.ts";
import type { JudgeWays } from "../belt-test/verdict/odd-effects.ts";
import type { CandidateCase, Outcome } from "../belt-test/verdict/outcome.ts";
import type { PanelSeverity } from "../belt-test/verdict/panel-severity.ts";
import type { SmallestChange } from "../belt-test/verdict/smallest-change.ts";
import type { VerdictDoubt } from "../belt-test/verdict/verdict-doubt.ts";
import type { PersonId } from "../book/identity.ts";

export interface Candidate {
  candidate: CandidateId;
  /** What the side records call the candidate; empty where only the id is known. */
  name: string;
  number: number | undefined;
  rubric: Rubric;
  outcome: Outcome;
  /** The fewest marks that would turn the result; null where there is none, or the marks are closed. */
  change: SmallestChange | null;
  /** What the judges said of whole sections; paper does not say. */
  overalls: CandidateCase["overalls"];
  issued: VerdictResult | "withdrawn" | "absent" | null;
  /** What is to be repeated: as the verdict says where it says so, else as computed. */
  repeats: readonly SectionId[];
  /** Why the verdict is not to be relied on; absent where it can be, and where there is none. */
  doubt?: VerdictDoubt | undefined;
}

/** A belt test as `report` shows it, whether it came from a scorebook or from paper. */
export interface TestResults {
  grading: { id: string | null; title: string; date: string | null };
  candidates: readonly Candidate[];
  /** Every mark that counts, for the judges' counts. */
  marks: readonly Mark[];
  /** Those that stood at lock in open sections, for agreement. */
  locked: readonly Mark[];
  /** A book of the first rules is reckoned in the order in which it was written, to the last digit. */
  isAsWritten?: boolean;
  severity: PanelSeverity;
  /** What is said of each judge of them. */
  judges: readonly JudgeReport[];
  /** Every effect of every judge; waves and own students are not known on paper. */
  ways: readonly JudgeWays[];
  judgeName: (judge: PersonId) => string;
  /** Who came in as somebody that had a device there already; nothing on paper. */
  letIns?: readonly LetIn[];
  /** What a reader should know of how it was read. */
  remarks: readonly string[];
}
