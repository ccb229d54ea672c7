import type { Asked, AskedPanel, Part } from "./asked.ts";

/** One candidate's scores, by whom they were made, and how restless the marks behind them are. */
export interface PartScores {
  /** By part, in percent; NaN where nobody saw anything of it. */
  scores: Float64Array;
  /** Share of each part's weight that somebody saw. */
  seen: Float64Array;
  /** Judges × parts: how much of the part's score this judge made; 1 together. */
  loads: Float64Array;
  /** Parts × parts: what a cell variance of 1 comes to in the scores, and in what two scores share. */
  cellShare: Float64Array;
  /** Sum of squares of the marks about their cell's mean, each judge's own level taken out, and its degrees of freedom. */
  squares: number;
  degrees: number;
  /** The same judge by judge over sections: squares of section scores about the judge's level, and what a cell variance of 1 would make of them. */
  sectionSquares: number;
  sectionExpected: number;
  /** What a cell variance of 1 comes to in one judge's score of the whole, on the average over the judges who saw something of every section; 0 where nobody did. */
  wholeShare: number;
}

/** For each candidate; null for one with no marks. Marks are sorted by candidate and judge; of the parts sections come first, then must-show items (`Asked`). */
export function partScores({ marks, candidates }: AskedPanel): (PartScores | null)[] {
  const { candidate, judge, cell, level, judges } = marks;
  const cells = marks.weights.length;
  const [sum, count, sectionOf, weightOf] = [
    new Float64Array(cells),
    new Int32Array(cells),
    new Int32Array(cells).fill(-1),
    new Float64Array(cells),
  ];
  let known: readonly Part[] | null = null;
  let from = 0;
  return candidates.map(({ parts, combine }, who) => {
    let to = from;
    while (to < level.length && candidate[to] === who) to++;
    const [first, last] = [from, to];
    from = to;
    if (first === last) return null;
    if (parts !== known) {
      sectionOf.fill(-1);
      parts.forEach((part, p) => {
        if (part.within !== null) return;
        part.cells.forEach((place, at) => {
          sectionOf[place] = p;
          weightOf[place] = part.weights[at] as number;
        });
      });
      known = parts;
    }
    sum.fill(0);
    count.fill(0);
    for (let i = first; i < last; i++) {
      const place = cell[i] as number;
      sum[place] = (sum[place] as number) + (level[i] as number);
      count[place] = (count[place] as number) + 1;
    }
    const size = parts.length;
    const found: PartScores = {
      scores: new Float64Array(size),
      seen: new Float64Array(size),
      loads: new Float64Array(judges * size),
      cellShare: new Float64Array(size * size),
      squares: 0,
      degrees: 0,
      sectionSquares: 0,
      sectionExpected: 0,
      wholeShare: 0,
    };
    weigh(parts, found, sum, count, combine);
    judgesOf(first, last);
    return found;

    function judgesOf(start: number, end: number): void {
      const sections = parts.filter(({ within }) => within === null).length;
      let [watching, whole, shared] = [0, 0, 0];
      const apart = new Float64Array(size);
      const weights = new Float64Array(size);
      const weightSquares = new Float64Array(size);
      for (let i = start; i < end; ) {
        const who2 = judge[i] as number;
        let next = i;
        let [level1, cells1] = [0, 0];
        apart.fill(0);
        weights.fill(0);
        weightSquares.fill(0);
        for (; next < end && judge[next] === who2; next++) {
          const place = cell[next] as number;
          const p = sectionOf[place] as number;
          if (p < 0) continue;
          const w = weightOf[place] as number;
          const off = (level[next] as number) - (sum[place] as number) / (count[place] as number);
          weights[p] = (weights[p] as number) + w;
          weightSquares[p] = (weightSquares[p] as number) + w * w;
          const at = who2 * size + p;
          found.loads[at] = (found.loads[at] as number) + w / (count[place] as number);
          if ((count[place] as number) < 2) continue;
          apart[p] = (apart[p] as number) + w * off;
          level1 += off;
          cells1++;
        }
        if (cells1 > 0) {
          watching++;
          const own = level1 / cells1;
          for (let k = i; k < next; k++) {
            const place = cell[k] as number;
            if ((count[place] as number) < 2 || (sectionOf[place] as number) < 0) continue;
            const off = (level[k] as number) - (sum[place] as number) / (count[place] as number);
            found.squares += (off - own) ** 2;
            shared += 1 - 1 / (count[place] as number);
          }
          if (bySections(apart, weights, weightSquares, sections)) whole++;
        }
        i = next;
      }
      if (watching > 0) {
        found.degrees = Math.max(0, shared - (watching - 1));
        const others = 1 - 1 / Math.max(2, watching);
        found.sectionExpected *= others;
        found.wholeShare /= Math.max(1, whole);
      }
      mustShows();
    }

    /** @returns whether this judge saw something of every section: of the others no score of the whole can be told. */
    function bySections(
      apart: Float64Array,
      weights: Float64Array,
      weightSquares: Float64Array,
      sections: number,
    ): boolean {
      let [mean, whole] = [0, 0];
      for (let p = 0; p < sections; p++) {
        if (weights[p] === 0) return false;
        apart[p] = (apart[p] as number) / (weights[p] as number);
        mean += (apart[p] as number) / sections;
        whole += (parts[p] as Part).share;
      }
      for (let p = 0; p < sections; p++) {
        const its = (weightSquares[p] as number) / (weights[p] as number) ** 2;
        found.sectionSquares += ((apart[p] as number) - mean) ** 2;
        found.sectionExpected += its * (1 - 1 / sections);
        found.wholeShare += ((parts[p] as Part).share / whole) ** 2 * its;
      }
      return true;
    }

    /** Loads of sections are sums of weights so far: shares of what was seen; a must-show item's judges are its section's. */
    function mustShows(): void {
      for (let p = 0; p < size; p++) {
        const { within } = parts[p] as Part;
        for (let j = 0; j < judges; j++) {
          const at = j * size + p;
          if (within !== null) found.loads[at] = found.loads[j * size + within] as number;
          else if (found.seen[p])
            found.loads[at] = (found.loads[at] as number) / (found.seen[p] as number);
        }
      }
    }
  });
}

/** How much more a rule's result trembles than the mean of as many marks. */
function tremble(combine: Asked["combine"], count: number): number {
  if (count < 3) return 1;
  // Var(median) is about π / (2n + π - 2) of a mark's; dropping one high and one low lies between it and the mean.
  const median = (Math.PI * count) / (2 * count + Math.PI - 2);
  switch (combine) {
    case "mean":
      return 1;
    case "median":
      return median;
    case "drop-high-low":
    case "robust":
      return count === 3 ? median : 1 + (median - 1) / 3;
    default:
      throw new RangeError(`tremble: “${combine satisfies never}” is no rule`);
  }
}

function weigh(
  parts: readonly Part[],
  found: PartScores,
  sum: Float64Array,
  count: Int32Array,
  combine: Asked["combine"],
): void {
  const size = parts.length;
  parts.forEach(({ cells, weights }, p) => {
    let [points, seen, squares] = [0, 0, 0];
    for (let at = 0; at < cells.length; at++) {
      const n = count[cells[at] as number] as number;
      if (n === 0) continue;
      const w = weights[at] as number;
      seen += w;
      points += (w * (sum[cells[at] as number] as number)) / n;
      squares += (w * w * tremble(combine, n)) / n;
    }
    found.scores[p] = points / seen;
    found.seen[p] = seen;
    found.cellShare[p * size + p] = squares / seen ** 2;
  });
  parts.forEach(({ cells, weights, within }, p) => {
    if (within === null) return;
    const section = parts[within] as Part;
    let shared = 0;
    cells.forEach((place, at) => {
      const n = count[place] as number;
      const there = section.cells.indexOf(place);
      if (n > 0 && there >= 0)
        shared +=
          ((weights[at] as number) * (section.weights[there] as number) * tremble(combine, n)) / n;
    });
    shared /= (found.seen[p] as number) * (found.seen[within] as number);
    found.cellShare[p * size + within] = shared;
    found.cellShare[within * size + p] = shared;
  });
}
