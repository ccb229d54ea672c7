import type { Part } from "./asked.ts";

/** How candidates of a test differ, as variances in percent²: in the whole, in a section besides, in a single item besides. */
export interface Spread {
  whole: number;
  section: number;
  item: number;
}

/** Before anybody has marked, as firmly as so many candidates say: ours; 0.6 and 0.25 of a step on a scale of four, as docs/fairness.md supposes. */
const PRIOR: Spread = { whole: 15 ** 2, section: 6.25 ** 2, item: 8 ** 2 };
const PRIOR_WORTH = 4;
/** Nobody's class is more alike than this. */
const LEAST = 2 ** 2;

interface Group {
  parts: readonly Part[];
  members: readonly { centre: Float64Array; noise: Float64Array }[];
}

/** Method of moments: what scores share and where they differ, less what noise makes of it; rubrics pooled by their number of candidates. */
export function spreadOf(groups: readonly Group[]): Spread {
  let [shared, own, items, worth, worthItems] = [
    PRIOR.whole * PRIOR_WORTH,
    (PRIOR.whole + PRIOR.section) * PRIOR_WORTH,
    (PRIOR.whole + PRIOR.section + PRIOR.item) * PRIOR_WORTH,
    PRIOR_WORTH,
    PRIOR_WORTH,
  ];
  let worthShared = PRIOR_WORTH;
  for (const { parts, members } of groups) {
    const n = members.length;
    if (n < 2) continue;
    const size = parts.length;
    const mean = new Float64Array(size);
    for (const { centre } of members)
      for (let p = 0; p < size; p++) mean[p] = (mean[p] as number) + (centre[p] as number) / n;
    const product = (p: number, q: number): number => {
      let sum = 0;
      for (const { centre, noise } of members)
        sum +=
          ((centre[p] as number) - (mean[p] as number)) *
            ((centre[q] as number) - (mean[q] as number)) -
          ((n - 1) / n) * (noise[p * size + q] as number);
      return sum;
    };
    const sections = [...parts.keys()].filter((p) => parts[p]?.within === null);
    const others = [...parts.keys()].filter((p) => parts[p]?.within !== null);
    const pairs = (sections.length * (sections.length - 1)) / 2;
    for (const p of sections) {
      own += product(p, p) / sections.length;
      for (const q of sections) if (q < p) shared += product(p, q) / pairs;
    }
    if (pairs > 0) worthShared += n - 1;
    worth += n - 1;
    for (const p of others) items += product(p, p) / others.length;
    if (others.length > 0) worthItems += n - 1;
  }
  const each = Math.max(2 * LEAST, own / worth);
  const whole = Math.min(Math.max(LEAST, shared / worthShared), each - LEAST);
  return { whole, section: each - whole, item: Math.max(LEAST, items / worthItems - each) };
}

/** The crowd's covariance, with what is unknown of its mean (`others` scores of it, each with about this much error). */
export function between(
  parts: readonly Part[],
  { whole, section, item }: Spread,
  error: Float64Array,
  others: number,
): Float64Array {
  const size = parts.length;
  const sectionOf = (p: number) => parts[p]?.within ?? p;
  return Float64Array.from({ length: size * size }, (_, at) => {
    const [p, q] = [Math.floor(at / size), at % size];
    const its =
      whole +
      (sectionOf(p) === sectionOf(q) ? section : 0) +
      (p === q && parts[p]?.within !== null ? item : 0);
    return its + (its + (error[at] as number)) / others;
  });
}
