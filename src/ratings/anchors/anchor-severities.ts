import type { KnownSeverity } from "../severity/severities.ts";

/** One cell of an anchor performance, as one judge marked it before the first wave, and the mark that was agreed for it. */
export interface AnchorMark {
  anchor: number;
  judge: number;
  /** In levels. */
  level: number;
  agreed: number;
  /** What the cell weighs in the whole; any unit, above 0. */
  weight: number;
}

/** How far apart two fair judges lie on one whole performance, before any anchor says so: ours, the residual that docs/fairness.md supposes, worth this many judge-performances. */
const APART_SD = 0.25;
const APART_WORTH = 6;

/**
 * How severe each judge is, measured on performances whose marks were agreed beforehand.
 *
 * A judge's severity on one anchor is the weighted mean of agreed mark minus own mark. What is left from anchor to anchor (a first impression of that one
 * performer) is pooled over all judges with a prior; one anchor alone gives about a fifth of a level, four about a tenth.
 *
 * @param marks in any order, no cell of an anchor twice by one judge. @param judges how many there are; places from 0.
 * @returns for each judge the severity (levels, positive = severe everywhere) and its standard deviation; null for a judge who marked no anchor.
 * @throws RangeError for a mark, agreed mark or weight that is not finite, a weight not above 0, a judge's place outside the list.
 *
 * Wrong by as much as the agreed mark is: it defines the standard. Anchors must be marked with the instrument of the test; a judge who looks closely at an
 * anchor and confirms by exception later is another judge.
 * Sources: calibration against performances with agreed marks: Roch et al. 2012, doi:10.1111/j.2044-8325.2011.02045.x; the pooling is common practice (scaled inverse chi-square prior).
 *
 * @example
 * anchorSeverities([{ anchor: 0, judge: 0, level: 2, agreed: 3, weight: 1 }, { anchor: 0, judge: 0, level: 3, agreed: 3, weight: 1 }], 2); // => [{ severity: 0.5, sd: 0.25 }, null]
 */
export function anchorSeverities(
  marks: readonly AnchorMark[],
  judges: number,
): (KnownSeverity | null)[] {
  const sums = new Map<string, { judge: number; weight: number; below: number }>();
  for (const { anchor, judge, level, agreed, weight } of marks) {
    if (!Number.isInteger(judge) || judge < 0 || judge >= judges)
      throw new RangeError(`anchorSeverities: judge ${judge} of ${judges}`);
    if (!Number.isFinite(level) || !Number.isFinite(agreed) || !(weight > 0 && weight < Infinity))
      throw new RangeError(`anchorSeverities: ${level} against ${agreed}, weight ${weight}`);
    const key = `${judge}/${anchor}`;
    const sum = sums.get(key) ?? { judge, weight: 0, below: 0 };
    sum.weight += weight;
    sum.below += weight * (agreed - level);
    sums.set(key, sum);
  }
  const each: number[][] = Array.from({ length: judges }, () => []);
  for (const { judge, weight, below } of sums.values())
    (each[judge] as number[]).push(below / weight);
  const means = each.map((values) => values.reduce((sum, value) => sum + value, 0) / values.length);
  let [squares, degrees] = [0, 0];
  each.forEach((values, j) => {
    for (const value of values) squares += (value - (means[j] as number)) ** 2;
    degrees += Math.max(0, values.length - 1);
  });
  const variance = (APART_WORTH * APART_SD ** 2 + squares) / (APART_WORTH + degrees);
  return each.map((values, j) =>
    values.length === 0
      ? null
      : { severity: means[j] as number, sd: Math.sqrt(variance / values.length) },
  );
}
