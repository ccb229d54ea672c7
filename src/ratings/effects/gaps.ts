import type { Judged } from "./judged.ts";

/** One candidate before one judge, against the others who marked the same cells; in levels. */
export interface Gap {
  candidate: number;
  judge: number;
  /** Own marks less the others' mean, severities taken out: what is left is not severity. */
  gap: number;
  /** The others' level of this candidate, severities taken out, and how many judges it rests on. */
  others: number;
  judges: number;
  /** The same gap by criterion, less the whole gap; NaN where no cell of it was shared. */
  byCriterion: Float64Array;
  /** Share of performances in which all criteria got one mark, less the others' share; NaN where no performance has two criteria. */
  allAlike: number;
}

/**
 * Where each judge lies from the others on the same cells, candidate by candidate.
 * @param from marks sorted by candidate and judge. @param severity of each judge in levels, positive = severe: whoever the others are should not matter.
 * @returns a row for each judge and candidate with a shared cell.
 */
export function gaps(
  { marks, criterion, performance }: Judged,
  severity: ArrayLike<number>,
): Gap[] {
  const { candidate, judge, cell, level, weights } = marks;
  const criteria = criterion.reduce((most, one) => Math.max(most, one + 1), 0);
  const found: Gap[] = [];
  const sum = new Float64Array(weights.length);
  const count = new Int32Array(weights.length);
  for (let from = 0; from < level.length; ) {
    let to = from;
    sum.fill(0);
    count.fill(0);
    while (to < level.length && candidate[to] === candidate[from]) {
      const place = cell[to] as number;
      sum[place] =
        (sum[place] as number) + (level[to] as number) + (severity[judge[to] as number] as number);
      count[place] = (count[place] as number) + 1;
      to++;
    }
    const rows: (Gap & { alike: number })[] = [];
    for (let i = from; i < to; ) {
      const who = judge[i] as number;
      const own = severity[who] as number;
      let [gap, others, weight, judges, cells] = [0, 0, 0, 0, 0];
      const by = new Float64Array(criteria);
      const byWeight = new Float64Array(criteria);
      const first = new Map<number, { level: number; isAlike: boolean; cells: number }>();
      for (; i < to && judge[i] === who; i++) {
        const place = cell[i] as number;
        const mark = level[i] as number;
        const seen = first.get(performance[place] as number);
        if (seen) {
          seen.isAlike &&= seen.level === mark;
          seen.cells++;
        } else first.set(performance[place] as number, { level: mark, isAlike: true, cells: 1 });
        const n = (count[place] as number) - 1;
        const w = weights[place] as number;
        if (n < 1 || w === 0) continue;
        const theirs = ((sum[place] as number) - mark - own) / n;
        const k = criterion[place] as number;
        gap += w * (mark + own - theirs);
        others += w * theirs;
        weight += w;
        judges += n;
        cells++;
        by[k] = (by[k] as number) + w * (mark + own - theirs);
        byWeight[k] = (byWeight[k] as number) + w;
      }
      if (weight === 0) continue;
      const several = [...first.values()].filter((one) => one.cells > 1);
      rows.push({
        candidate: candidate[from] as number,
        judge: who,
        gap: gap / weight,
        others: others / weight,
        judges: judges / cells,
        byCriterion: by.map((value, k) => value / (byWeight[k] as number) - gap / weight),
        alike: several.filter(({ isAlike }) => isAlike).length / several.length,
        allAlike: Number.NaN,
      });
    }
    for (const row of rows) {
      const rest = rows.filter((one) => one !== row && !Number.isNaN(one.alike));
      row.allAlike = row.alike - rest.reduce((all, one) => all + one.alike, 0) / rest.length;
    }
    found.push(...rows);
    from = to;
  }
  return found;
}
