import { chanceFrom } from "../ratings/statistics/chance.ts";
import type { Design } from "./designs.ts";
import { normalFrom } from "./normal.ts";
import {
  CELL_IN_WHOLE,
  CELLS,
  CRITERIA,
  fourLevels,
  ITEMS,
  JUDGE,
  KNOWN_SD,
  MEETS,
  SECTION_CELLS,
  SECTIONS,
  TRUE,
} from "./setting.ts";

/** One made-up test: what everybody truly showed, what every judge is like, and what was marked. */
export interface Day {
  design: Design;
  candidates: number;
  /** True performance, candidate × cell, on the scale 0–4. */
  truth: Float64Array;
  /** One for each judge, on the scale 0–4; positive is severe. */
  severity: Float64Array;
  /** Judge × criterion: what this judge takes off more there. */
  criterionSeverity: Float64Array;
  /** How far anchors or earlier tests are off: about `KNOWN_SD`. */
  knownError: Float64Array;
  /** Candidate × judge × cell, in the instrument's own levels; NaN where nothing was marked. */
  marks: Float64Array;
  /** The same: 1 where the mark was confirmed by exception. */
  isRest: Uint8Array;
}

/** What a judge who never looks up gives on the scale 0–4. */
const FLAT_MARK = 3;

/** A judge whose ways are changed, for the tests of what finds odd judges. */
export interface OddWays {
  judge: number;
  /** The impression after the judge's own ways, from the one before. */
  change: (impression: number, candidate: number) => number;
  /** Instead of a severity by chance, on the scale 0–4. */
  severity?: number;
}

/** A day by chance; the same seed and design, the same day. */
export function dayOf(design: Design, candidates: number, seed: number, odd?: OddWays): Day {
  const chance = chanceFrom(seed);
  const normal = normalFrom(chance);
  const truth = trulyShown(candidates, normal);
  if (design.linesByLevel) sortByLevel(truth, candidates);
  const { judges } = design;
  const severity = Float64Array.from({ length: judges }, () => design.severitySd * normal());
  if (odd?.severity !== undefined) severity[odd.judge] = odd.severity;
  const criterionSeverity = Float64Array.from(
    { length: judges * CRITERIA },
    () => JUDGE.criterion * normal(),
  );
  const drift = Float64Array.from(
    { length: judges },
    () => JUDGE.drift * chance() * (chance() < 0.5 ? -1 : 1),
  );
  const knownError = severity.map(() => KNOWN_SD * normal());
  const marks = new Float64Array(candidates * judges * CELLS).fill(Number.NaN);
  const isRest = new Uint8Array(marks.length);
  const { instrument } = design;
  for (let c = 0; c < candidates; c++) {
    const moment = candidates > 1 ? c / (candidates - 1) - 0.5 : 0;
    for (const j of design.watching(c)) {
      const own = c % judges === j ? design.ownStudent : 0;
      const everywhere =
        -(severity[j] as number) + design.haloSd * normal() + (drift[j] as number) * moment + own;
      for (let cell = 0; cell < CELLS; cell++) {
        const at = (c * judges + j) * CELLS + cell;
        const error = JUDGE.error * normal();
        if (design.cells < 1 && chance() >= design.cells) continue;
        let impression =
          (truth[c * CELLS + cell] as number) +
          everywhere -
          (criterionSeverity[j * CRITERIA + (cell % CRITERIA)] as number) +
          error;
        if (odd?.judge === j) impression = odd.change(impression, c);
        if (design.flatJudge === j) impression = FLAT_MARK;
        if (instrument.kind === "half-steps") {
          marks[at] = Math.min(4, Math.max(0, Math.round(impression * 2) / 2));
          continue;
        }
        const level = Math.min(4, Math.max(1, Math.round(fourLevels(impression))));
        // Chance is drawn for every cell, so that days of another noticing differ in nothing else.
        const isNoticed = chance() < instrument.noticing && level !== MEETS;
        marks[at] = isNoticed ? level : MEETS;
        isRest[at] = isNoticed ? 0 : 1;
      }
    }
  }
  return { design, candidates, truth, severity, criterionSeverity, knownError, marks, isRest };
}

function trulyShown(candidates: number, normal: () => number): Float64Array {
  const truth = new Float64Array(candidates * CELLS);
  const items = Float64Array.from({ length: SECTIONS * ITEMS }, () => TRUE.item * normal());
  const criteria = Float64Array.from({ length: CRITERIA }, () => TRUE.criterion * normal());
  for (let c = 0; c < candidates; c++) {
    const level = TRUE.mean + TRUE.candidate * normal();
    const bySection = Float64Array.from(
      { length: SECTIONS },
      () => TRUE.candidateSection * normal(),
    );
    const byCriterion = Float64Array.from(
      { length: CRITERIA },
      () => TRUE.candidateCriterion * normal(),
    );
    for (let cell = 0; cell < CELLS; cell++)
      truth[c * CELLS + cell] =
        level +
        (bySection[Math.floor(cell / SECTION_CELLS)] as number) +
        (byCriterion[cell % CRITERIA] as number) +
        (items[Math.floor(cell / CRITERIA)] as number) +
        (criteria[cell % CRITERIA] as number);
  }
  return truth;
}

function sortByLevel(truth: Float64Array, candidates: number): void {
  const rows = Array.from({ length: candidates }, (_, c) =>
    truth.slice(c * CELLS, (c + 1) * CELLS),
  );
  const level = (row: Float64Array) =>
    row.reduce((sum, value, cell) => sum + value * (CELL_IN_WHOLE[cell] as number), 0);
  rows
    .map((row) => ({ row, level: level(row) }))
    .sort((a, b) => a.level - b.level)
    .forEach(({ row }, c) => {
      truth.set(row, c * CELLS);
    });
}
