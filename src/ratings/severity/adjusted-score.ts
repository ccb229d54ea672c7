import type { Severities } from "./severities.ts";

/** How much of a score each judge made: `part` of all judges add up to 1. */
export interface JudgePart {
  judge: number;
  part: number;
}

/**
 * What a score would be had every judge been as severe as every other (`panel`), or as the standard (`standard`).
 *
 * The score itself is not touched: what its judges took off more than others is added, each by its part of the score. Nobody is pulled towards anybody.
 *
 * @param score in the severities' unit. @param parts who made it, and how much of it. @param from `severities` of the panel.
 * @param to `panel`: everybody as the panel's mean; a panel that is severe as a whole stays so. `standard`: needs something known beforehand; without, it is the same as `panel`.
 * @returns `adjusted`, how far that is from the score, and the standard error of that difference: what was not severity is not in it.
 * @throws RangeError where the score is not finite or parts do not add up to 1.
 *
 * Of the adjustments that turn a verdict about two in three are right: advice, never a verdict.
 * Source: the mixed model of `severities`; why it stays advice: docs/fairness.md.
 *
 * @example
 * const from = { judges: [{ severity: 0.4, se: 0 }, { severity: -0.4, se: 0 }], covariance: new Float64Array(4) };
 * adjustedScore(2, [{ judge: 0, part: 0.75 }, { judge: 1, part: 0.25 }], from, "panel").adjusted.toFixed(2); // => "2.20"
 */
export function adjustedScore(
  score: number,
  parts: readonly JudgePart[],
  { judges, covariance }: Pick<Severities, "judges" | "covariance">,
  to: "panel" | "standard",
): { adjusted: number; change: number; se: number } {
  const whole = parts.reduce((sum, { part }) => sum + part, 0);
  if (!Number.isFinite(score) || !(Math.abs(whole - 1) < 1e-6))
    throw new RangeError(`adjustedScore: a score of ${score}, of which judges made ${whole}`);
  const load = new Float64Array(judges.length);
  for (const { judge, part } of parts) load[judge] = (load[judge] as number) + part;
  const { change, se } = shiftOf(load, { judges, covariance }, to);
  return { adjusted: score + change, change, se };
}

/**
 * What severities took off something that judges made together, and the standard error of that.
 *
 * @param load one for each judge: how far the whole falls when this judge is one unit more severe. @param from `severities` of the panel.
 * @param to as in `adjustedScore`. With `panel`, a whole that every judge made alike comes to 0.
 *
 * @example
 * const from = { judges: [{ severity: 0.4, se: 0 }, { severity: -0.4, se: 0 }], covariance: new Float64Array(4) };
 * shiftOf(Float64Array.of(25, 0), from, "standard").change; // => 10
 */
export function shiftOf(
  load: Float64Array,
  { judges, covariance }: Pick<Severities, "judges" | "covariance">,
  to: "panel" | "standard",
): { change: number; se: number } {
  const size = judges.length;
  const all = load.reduce((sum, one) => sum + one, 0);
  const apart = to === "panel" ? load.map((one) => one - all / size) : load;
  let [change, variance] = [0, 0];
  for (let i = 0; i < size; i++) {
    change += (apart[i] as number) * (judges[i] as { severity: number }).severity;
    for (let j = 0; j < size; j++)
      variance +=
        (apart[i] as number) * (apart[j] as number) * (covariance[i * size + j] as number);
  }
  return { change, se: Math.sqrt(Math.max(0, variance)) };
}
