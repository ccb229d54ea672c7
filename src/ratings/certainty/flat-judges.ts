import type { MarkedCells } from "../severity/composites.ts";

/** Fewer candidates or marks than this may well be all alike. Ours. */
const LEAST_CANDIDATES = 2;
const LEAST_MARKS = 20;
/** Others must have seen at least this share of another mark in the same cells. Ours. */
const OTHERS_UNLIKE = 0.1;

/**
 * The judges who gave everybody the same mark, where others saw differences: their marks say nothing of any candidate.
 *
 * @param marks sorted by candidate and judge. @returns their places, in order. Nobody with fewer than 2 candidates or 20 marks,
 *   nobody where the others' marks of the same performances are nine in ten the same, and nobody alone.
 * Source: common practice (ours); what such a judge costs: docs/fairness.md.
 *
 * @example
 * const level = Float64Array.from({ length: 80 }, (_, i) => (Math.floor(i / 20) % 2 ? 3 : 1 + (i % 3)));
 * const codes = (of) => Int32Array.from({ length: 80 }, (_, i) => of(i));
 * flatJudges({ judges: 2, candidates: 2, candidate: codes((i) => Math.floor(i / 40)), judge: codes((i) => Math.floor(i / 20) % 2), cell: codes((i) => i % 20), level, weights: new Float64Array(20).fill(0.05) }); // => [1]
 */
export function flatJudges({
  judges,
  candidates,
  candidate,
  judge,
  level,
  cell,
  weights,
}: MarkedCells): number[] {
  const first = new Float64Array(judges).fill(Number.NaN);
  const isFlat = new Uint8Array(judges).fill(1);
  const marks = new Int32Array(judges);
  for (let i = 0; i < level.length; i++) {
    const who = judge[i] as number;
    if (marks[who] === 0) first[who] = level[i] as number;
    else if (first[who] !== level[i]) isFlat[who] = 0;
    marks[who] = (marks[who] as number) + 1;
  }
  return Array.from({ length: judges }, (_, who) => who).filter((who) => {
    if (!isFlat[who] || (marks[who] as number) < LEAST_MARKS) return false;
    const own = new Uint8Array(candidates * weights.length);
    const whom = new Set<number>();
    for (let i = 0; i < level.length; i++)
      if (judge[i] === who) {
        own[(candidate[i] as number) * weights.length + (cell[i] as number)] = 1;
        whom.add(candidate[i] as number);
      }
    if (whom.size < LEAST_CANDIDATES) return false;
    let [others, unlike] = [0, 0];
    for (let i = 0; i < level.length; i++)
      if (
        judge[i] !== who &&
        own[(candidate[i] as number) * weights.length + (cell[i] as number)] === 1
      ) {
        others++;
        if (level[i] !== first[who]) unlike++;
      }
    return others > 0 && unlike / others >= OTHERS_UNLIKE;
  });
}

/** The same marks without some judges; the places of the others close up. */
export function withoutJudges(marks: MarkedCells, left: readonly number[]): MarkedCells {
  const kept = [...marks.judge.keys()].filter((i) => !left.includes(marks.judge[i] as number));
  const pick = <T extends Int32Array | Float64Array>(from: T): T =>
    (from.constructor as unknown as { from: (values: number[]) => T }).from(
      kept.map((i) => from[i] as number),
    );
  // Places close up, so that a judge who is left out is no judge of the day.
  const places = Array.from({ length: marks.judges }, (_, j) => j).filter((j) => !left.includes(j));
  return {
    ...marks,
    judges: places.length,
    candidate: pick(marks.candidate),
    judge: pick(marks.judge).map((j) => places.indexOf(j)),
    cell: pick(marks.cell),
    level: pick(marks.level),
  };
}
