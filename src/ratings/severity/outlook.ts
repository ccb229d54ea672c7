import type { JudgeScores } from "./judge-scores.ts";
import { type KnownSeverity, type NoSeverity, whyNot } from "./severities.ts";

export type Outlook =
  /** No adjustment is possible, and why. */
  | NoSeverity
  /** All judges marked everybody alike: their differences cancel out in every score, and only anchors or earlier tests could show more. */
  | "nothing-to-gain-without-standard"
  /** Candidates had different judges who can be compared: the luck of who marked whom can be taken out. */
  | "luck-of-judges"
  /** Severities are known from anchors or earlier tests: what the whole panel shares can be taken out too. */
  | "whole-panel";

/**
 * What adjusting for severity can do for this panel, before any number is shown.
 *
 * @param scores who marked whom. @param known of which judges anchors or earlier tests speak.
 * @returns a code for the screens. `whole-panel` once somebody of every linked group is known.
 * Source: measured in the fairness simulation (docs/fairness.md): a complete panel gains nothing from one day's own marks.
 *
 * @example
 * outlook(judgeScores([0, 1].flatMap((judge) => [0, 1].map((candidate) => ({ judge, candidate, level: judge + candidate }))))); // => "nothing-to-gain-without-standard"
 */
export function outlook(
  scores: JudgeScores,
  known: readonly (KnownSeverity | null)[] = [],
): Outlook {
  const reason = whyNot(scores, known);
  if (reason) return reason;
  if (known.some((one) => one !== null)) return "whole-panel";
  const { judge, candidate, share } = scores;
  const pairs = new Set(judge).size * new Set(candidate).size;
  const isComplete = judge.length === pairs && share.every((one) => one === share[0]);
  return isComplete ? "nothing-to-gain-without-standard" : "luck-of-judges";
}
