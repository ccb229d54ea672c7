import { adjustedScore } from "../ratings/severity/adjusted-score.ts";
import { type KnownSeverity, severities } from "../ratings/severity/severities.ts";
import type { Day } from "./day.ts";
import type { Scored } from "./scored.ts";
import { FOUR_LEVELS_APART, KNOWN_SD } from "./setting.ts";
import type { Truth } from "./truths.ts";

export const estimators = [
  "plain",
  "adjusted",
  "known",
  "closer-look",
  "unlike-eyes",
  "oracle",
] as const;
/**
 * `plain`: the mean of the marks. `adjusted`: severities from the day's own marks. `known`: the same, with every judge's severity known beforehand to
 * `KNOWN_SD`. `closer-look`: known as well, but measured on anchors at which every exception was noticed, by the judges as by whoever agreed the marks.
 * `unlike-eyes`: the marks of a weak anchor (*Nearly* throughout) were agreed with every exception noticed, and judges marked it as they do the floor. `oracle`: told every judge's severity, as nobody ever is.
 */
export type Estimator = (typeof estimators)[number];

/** Sections as each way of reckoning has them, for one truth: candidate × section. */
export function estimates(day: Day, from: Scored): (truth: Truth, by: Estimator) => Float64Array {
  const { instrument } = day.design;
  const level = instrument.kind === "half-steps" ? 1 : FOUR_LEVELS_APART;
  // Anchors are marked with the same instrument, so what is known of a judge is what the judge does with it.
  const shown = level * (instrument.kind === "half-steps" ? 1 : instrument.noticing);
  const knownAt = (sees: number, off = 0): KnownSeverity[] =>
    Array.from(day.severity, (severity, j) => ({
      severity: severity * sees + off + (day.knownError[j] as number) * level,
      sd: KNOWN_SD * level,
    }));
  const own = severities(from.scores, { level });
  const withKnown = severities(from.scores, { level, known: knownAt(shown) });
  const withCloserLook =
    shown === level ? withKnown : severities(from.scores, { level, known: knownAt(level) });
  // Of a level below Meets the judge sees a part; what is missing looks like leniency.
  const unseen = shown / level - 1;
  const withUnlikeEyes =
    unseen === 0 ? withKnown : severities(from.scores, { level, known: knownAt(shown, unseen) });
  const judges = Array.from(day.severity, (severity) => ({ severity: severity * shown, se: 0 }));
  const told = { judges, covariance: new Float64Array(judges.length ** 2) };
  return (truth, by) => {
    const used = {
      plain: null,
      adjusted: own,
      known: withKnown,
      "closer-look": withCloserLook,
      "unlike-eyes": withUnlikeEyes,
      oracle: told,
    }[by];
    if (used === null || ("kind" in used && used.kind === "not-possible")) return from.sections;
    const to = truth === "panel" ? "panel" : "standard";
    return from.sections.map(
      (score, at) => adjustedScore(score, from.parts[at] ?? [], used, to).adjusted,
    );
  };
}
