import type { KnownSeverity, Severities } from "../severity/severities.ts";

/** A judge's severity as an earlier test left it. */
export interface EarlierSeverity extends KnownSeverity {
  /** Years between that test and the one to come; 0 or more. */
  yearsAgo: number;
}

/** How far a judge wanders in a year, in levels: ours, half of what judges differ among themselves; nobody has measured it in a dojo. */
export const DRIFT_SD_A_YEAR = 0.15;

/**
 * What one test leaves to be kept of a judge, as a measurement against the standard.
 *
 * @param from that test's severities. @param judge its place there.
 * @returns severity and sd in levels. Where that test had no standard of its own (no anchors, nothing kept), the level which its whole panel shared is
 *   unknown, and the sd says so: it grows by the spread of severities over the root of the number of judges.
 * @throws RangeError for a judge who was not in that test.
 *
 * Marks that re-enter through history and today's panel twice would count twice: keep it of closed tests only.
 * Source: the posterior of `severities`; the mean of n judges drawn from a spread is off by that spread over √n (elementary).
 *
 * @example
 * const from = { judges: [{ severity: 0.2, se: 0.1 }], severitySd: 0.3, hasStandard: true };
 * severityToKeep(from, 0); // => { severity: 0.2, sd: 0.1 }
 */
export function severityToKeep(
  { judges, severitySd, hasStandard }: Pick<Severities, "judges" | "severitySd" | "hasStandard">,
  judge: number,
): KnownSeverity {
  const found = judges[judge];
  if (!found) throw new RangeError(`severityToKeep: judge ${judge} of ${judges.length}`);
  const shared = hasStandard ? 0 : severitySd ** 2 / judges.length;
  return { severity: found.severity, sd: Math.sqrt(found.se ** 2 + shared) };
}

/**
 * What is known of one judge from several earlier tests and today's anchors together.
 *
 * Each is weighed by its precision, after its variance has grown by what a judge may have wandered since.
 *
 * @param earlier in any order; none gives null. @param driftSdAYear levels.
 * @returns severity and sd in levels, positive = severe.
 * @throws RangeError for a severity that is not finite, an sd not above 0, years below 0.
 *
 * Takes the tests as independent looks at the same judge. A judge who changed on purpose (a course, a talk) is remembered too long: drop that judge's history.
 * Source: precision weighting of independent measurements, Cochran 1954, doi:10.2307/3001666; the wandering is a random walk (common practice).
 *
 * @example
 * keptSeverity([{ severity: 0.4, sd: 0.2, yearsAgo: 0 }, { severity: 0, sd: 0.2, yearsAgo: 0 }])?.severity; // => 0.2
 * keptSeverity([]); // => null
 */
export function keptSeverity(
  earlier: readonly EarlierSeverity[],
  driftSdAYear: number = DRIFT_SD_A_YEAR,
): KnownSeverity | null {
  let [weights, sum] = [0, 0];
  for (const { severity, sd, yearsAgo } of earlier) {
    if (!Number.isFinite(severity) || !(sd > 0 && sd < Infinity) || !(yearsAgo >= 0))
      throw new RangeError(`keptSeverity: ${severity} with sd ${sd}, ${yearsAgo} years ago`);
    const weight = 1 / (sd ** 2 + driftSdAYear ** 2 * yearsAgo);
    weights += weight;
    sum += weight * severity;
  }
  return weights === 0 ? null : { severity: sum / weights, sd: Math.sqrt(1 / weights) };
}
