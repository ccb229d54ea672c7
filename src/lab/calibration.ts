import type { Certain } from "./certain.ts";
import { type Interval, meanInterval, ratioInterval } from "./interval.ts";

const BINS = 20;

/**
 * Expected calibration error: in twenty bins of certainty, how far the mean certainty lies from the share that was right, averaged by candidates.
 * The interval is clustered by replicate: signs of the bins taken as found, each day contributes its own sum.
 * Chance alone makes it positive: `byChance` is what a perfectly honest certainty would show with as many days.
 * Source: Naeini, Cooper & Hauskrecht 2015 (Obtaining well calibrated probabilities using Bayesian binning, AAAI) for the measure; the interval is the linearised one for a ratio, Cochran 1977, section 6.3.
 */
export function calibrationError(
  { candidates, replicates, sure, isWrong }: Certain,
  below: number,
): { error: Interval; byChance: number; share: number } {
  const sums = new Float64Array(BINS * replicates);
  const counts = new Float64Array(replicates);
  for (let i = 0; i < sure.length; i++) {
    const its = sure[i] as number;
    if (its >= below) continue;
    const day = Math.floor(i / candidates);
    const at = Math.min(BINS - 1, Math.floor(its * BINS)) * replicates + day;
    sums[at] = (sums[at] as number) + its - (1 - (isWrong[i] as number));
    counts[day] = (counts[day] as number) + 1;
  }
  const all = counts.reduce((sum, count) => sum + count, 0);
  const perDay = new Float64Array(replicates);
  let byChance = 0;
  for (let bin = 0; bin < BINS; bin++) {
    const its = sums.subarray(bin * replicates, (bin + 1) * replicates);
    const sum = its.reduce((total, value) => total + value, 0);
    for (let day = 0; day < replicates; day++)
      perDay[day] = (perDay[day] as number) + Math.sign(sum) * (its[day] as number);
    const { low, high } = meanInterval(its);
    byChance += (((high - low) / 2 / 1.96) * replicates * Math.sqrt(2 / Math.PI)) / all;
  }
  const error = perDay.reduce((sum, value) => sum + value, 0) / all;
  const { low, high } = meanInterval(
    perDay.map((value, day) => value - error * (counts[day] as number)),
  );
  const half = ((high - low) / 2) * (replicates / all);
  return {
    error: { value: 100 * error, low: 100 * (error - half), high: 100 * (error + half) },
    byChance: 100 * byChance,
    share: all / sure.length,
  };
}

/** Share of wrong verdicts among those at least this sure, in percent. */
export function wrongAmongSure(
  { candidates, replicates, sure, isWrong }: Certain,
  from: number,
): Interval {
  const wrong = new Float64Array(replicates);
  const count = new Float64Array(replicates);
  for (let i = 0; i < sure.length; i++) {
    if ((sure[i] as number) < from) continue;
    const day = Math.floor(i / candidates);
    count[day] = (count[day] as number) + 1;
    wrong[day] = (wrong[day] as number) + (isWrong[i] as number);
  }
  return percent(ratioInterval(wrong, count));
}

/** Of all wrong verdicts, the share that lies among this share of each day's candidates, the least sure first; in percent. */
export function foundAmongFirst(
  { candidates, replicates, sure, isWrong }: Certain,
  share: number,
): Interval {
  const looked = Math.max(1, Math.round(share * candidates));
  const found = new Float64Array(replicates);
  const wrong = new Float64Array(replicates);
  for (let day = 0; day < replicates; day++) {
    const places = Array.from({ length: candidates }, (_, c) => day * candidates + c);
    places.sort((a, b) => (sure[a] as number) - (sure[b] as number));
    places.forEach((place, rank) => {
      wrong[day] = (wrong[day] as number) + (isWrong[place] as number);
      if (rank < looked) found[day] = (found[day] as number) + (isWrong[place] as number);
    });
  }
  return percent(ratioInterval(found, wrong));
}

const percent = ({ value, low, high }: Interval): Interval => ({
  value: 100 * value,
  low: 100 * low,
  high: 100 * high,
});
