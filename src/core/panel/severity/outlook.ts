import type { JudgeScores } from "./judge-scores.ts";
import { type NoSeverity, whyNot } from "./severities.ts";

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
 * @param scores who marked whom. @param hasStandard whether anchors or earlier tests speak of any judge.
 * @returns a code for the screens. A panel that does not hang together is left alone whatever is known: no shared mark could contradict what is known.
 * Source: measured in the fairness simulation (docs/fairness.md): a complete panel gains nothing from one day's own marks.
 *
 * @example
 * outlook(judgeScores([0, 1].flatMap((judge) => [0, 1].map((candidate) => ({ judge, candidate, level: judge + candidate }))))); // => "nothing-to-gain-without-standard"
 */
export function outlook(scores: JudgeScores, hasStandard = false): Outlook {
  const reason = whyNot(scores);
  if (reason) return reason;
  if (hasStandard) return "whole-panel";
  const { judge, candidate, share } = scores;
  const judges = new Set(judge).size;
  const candidates = new Set(candidate).size;
  const isComplete = judge.length === judges * candidates && share.every((one) => one === share[0]);
  return isComplete ? "nothing-to-gain-without-standard" : "luck-of-judges";
}
