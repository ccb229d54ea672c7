/** Marks as typed columns, sorted by candidate, then cell. Levels from 1 to 4. */
export interface Columns {
  candidates: number;
  cells: number;
  judges: number;
  candidate: Int32Array;
  cell: Int32Array;
  judge: Int32Array;
  level: Float64Array;
}

/** What one plain pass over the columns comes to: nothing is exact, nothing is asked, nobody is named. */
interface Sketch {
  totals: Float64Array;
  passed: number;
  gaps: number;
  alpha: number;
  icc: number;
}

/**
 * The floor: median, gaps, totals, a verdict, alpha (interval) and ICC(1,1) of the panel in a single pass, with no rubric, no floors, no exact fractions.
 * Alpha as mean squares within cells over the whole; ICC(1,1) = (MSB − MSW) / (MSB + (k − 1) MSW) with k the mean number of marks a cell.
 */
export function onePass({ candidates, cells, candidate, cell, level }: Columns): Sketch {
  const totals = new Float64Array(candidates);
  const ladder = new Int32Array(5);
  let [gaps, within, sum, squares, groups, between] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < level.length; ) {
    const [who, place] = [candidate[i], cell[i]];
    ladder.fill(0);
    let [count, all, its] = [0, 0, 0];
    for (; i < level.length && candidate[i] === who && cell[i] === place; i++) {
      const one = level[i] as number;
      ladder[one] = (ladder[one] as number) + 1;
      count++;
      all += one;
      its += one * one;
    }
    let [low, high, seen, middle] = [0, 0, 0, 0];
    for (let step = 1; step < 5; step++) {
      const here = ladder[step] as number;
      if (here === 0) continue;
      if (low === 0) low = step;
      high = step;
      if (seen < count / 2 && seen + here >= count / 2) middle = step;
      seen += here;
    }
    if (high - low >= 2) gaps++;
    totals[who as number] = (totals[who as number] as number) + (middle - 1) / 3;
    within += its - (all * all) / count;
    between += (all * all) / count;
    sum += all;
    squares += its;
    groups++;
  }
  const size = level.length;
  const grand = (sum * sum) / size;
  const msWithin = within / (size - groups);
  const msBetween = (between - grand) / (groups - 1);
  const k = size / groups;
  let passed = 0;
  for (const total of totals) if (total / cells >= 0.6) passed++;
  return {
    totals,
    passed,
    gaps,
    alpha: 1 - msWithin / ((squares - grand) / (size - 1)),
    icc: (msBetween - msWithin) / (msBetween + (k - 1) * msWithin),
  };
}
