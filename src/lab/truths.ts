import { normalAbove } from "../ratings/statistics/distributions.ts";
import type { Day } from "./day.ts";
import {
  CELL_IN_SECTION,
  CELLS,
  CRITERIA,
  FLOOR_AT,
  FOUR_LEVELS_APART,
  fourLevels,
  type Instrument,
  JUDGE,
  MEETS,
  PASS_AT,
  SECTION_CELLS,
  SECTION_WEIGHT,
  SECTIONS,
} from "./setting.ts";

/**
 * Who should pass. `absolute`: by the true performance. `panel`: by what all judges of the day would say on the average without noise, which is the true
 * performance less what they take off everybody (severity and judge × criterion); halo, drift, error and favour are noise.
 * With four levels, “what would be said” means the marks that the instrument gives on the average, at the same noticing; `attentive`: as `absolute`, but
 * of the performance itself, as though every exception were noticed.
 */
export type Truth = "absolute" | "panel";

/** Candidate × section. */
export function trueSections(day: Day, truth: Truth): Float64Array {
  const { candidates, design } = day;
  const found = new Float64Array(candidates * SECTIONS);
  const tables = takenOff(day, truth);
  const marked = expectedMark(design.instrument, design.haloSd);
  for (let c = 0; c < candidates; c++)
    for (let cell = 0; cell < CELLS; cell++) {
      let mean = 0;
      for (const table of tables)
        mean += marked(
          (day.truth[c * CELLS + cell] as number) - (table[cell % CRITERIA] as number),
        );
      const at = c * SECTIONS + Math.floor(cell / SECTION_CELLS);
      found[at] =
        (found[at] as number) + ((CELL_IN_SECTION[cell] as number) * mean) / tables.length;
    }
  return found;
}

/** For each judge whose view counts, what is taken off each criterion. */
function takenOff({ design, severity, criterionSeverity }: Day, truth: Truth): Float64Array[] {
  if (truth === "absolute") return [new Float64Array(CRITERIA)];
  const judges = Array.from({ length: design.judges }, (_, j) => j).filter(
    (j) => j !== design.flatJudge,
  );
  const each = judges.map((j) =>
    Float64Array.from(
      { length: CRITERIA },
      (_, k) => (severity[j] as number) + (criterionSeverity[j * CRITERIA + k] as number),
    ),
  );
  if (design.instrument.kind === "four-levels") return each;
  // On half steps the mean of the judges is the judge of the mean.
  return [
    Float64Array.from(
      { length: CRITERIA },
      (_, k) => each.reduce((sum, table) => sum + (table[k] as number), 0) / each.length,
    ),
  ];
}

/** The mark that an impression around `onScale` gets on the average. */
function expectedMark(instrument: Instrument, haloSd: number): (onScale: number) => number {
  if (instrument.kind === "half-steps") return (onScale) => onScale;
  const table = expectedTable(instrument.noticing, Math.hypot(JUDGE.error, haloSd));
  return (onScale) => {
    const at = Math.min(TABLE_TOP, Math.max(0, (onScale + 3) * TABLE_STEPS));
    const low = Math.min(TABLE_TOP - 1, Math.floor(at));
    return (
      (table[low] as number) + (at - low) * ((table[low + 1] as number) - (table[low] as number))
    );
  };
}

const TABLE_STEPS = 100;
const TABLE_TOP = 11 * TABLE_STEPS;
const tables = new Map<string, Float64Array>();
function expectedTable(noticing: number, sd: number): Float64Array {
  const key = `${noticing}/${sd}`;
  let table = tables.get(key);
  if (!table) {
    table = Float64Array.from({ length: TABLE_TOP + 1 }, (_, at) => {
      const centre = fourLevels(at / TABLE_STEPS - 3);
      const above = (edge: number) => normalAbove((edge - centre) / (FOUR_LEVELS_APART * sd));
      const attentive = 1 + above(1.5) + above(2.5) + above(3.5);
      return MEETS + noticing * (attentive - MEETS);
    });
    tables.set(key, table);
  }
  return table;
}

export interface Bar {
  pass: number;
  floor: number;
}
export const BAR: Bar = { pass: PASS_AT, floor: FLOOR_AT };

/**
 * Where the instrument puts a candidate who stands exactly at the pass mark or the floor: a school that marks by exception finds its mark there.
 * On half steps it is the mark itself.
 */
export function barOf(instrument: Instrument, haloSd: number): Bar {
  if (instrument.kind === "half-steps") return BAR;
  const marked = expectedMark(instrument, haloSd);
  // Items and criteria are harder or easier than the candidate's level by about .36.
  const around = (level: number) =>
    [-0.5, -0.25, 0, 0.25, 0.5].reduce((sum, off) => sum + marked(level + off) / 5, 0);
  return { pass: around(PASS_AT), floor: around(FLOOR_AT) };
}

/** Whether a candidate passes, from the scores of its sections. */
export function isPassed(sections: ArrayLike<number>, first: number, bar: Bar): boolean {
  let total = 0;
  for (let s = 0; s < SECTIONS; s++) {
    const score = sections[first + s] as number;
    // A hair's breadth, so that a score exactly at the mark is not failed by the last binary digit.
    if (score < bar.floor - 1e-9) return false;
    total += (SECTION_WEIGHT[s] as number) * score;
  }
  return total >= bar.pass - 1e-9;
}
