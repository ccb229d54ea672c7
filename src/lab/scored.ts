import type { JudgePart } from "../ratings/severity/adjusted-score.ts";
import { composites, type MarkedCells } from "../ratings/severity/composites.ts";
import type { JudgeScores } from "../ratings/severity/judge-scores.ts";
import type { Day } from "./day.ts";
import { CELL_IN_SECTION, CELL_IN_WHOLE, CELLS, SECTION_CELLS, SECTIONS } from "./setting.ts";

/** A day's scores by the plain mean of the judges of each cell. */
export interface Scored {
  /** Candidate × section, in the instrument's levels. */
  sections: Float64Array;
  /** Candidate × section: how much of it each judge made. */
  parts: readonly (readonly JudgePart[])[];
  scores: JudgeScores;
  cells: MarkedCells;
}

export function scored(day: Day): Scored {
  const { candidates, marks } = day;
  const { judges } = day.design;
  const sections = new Float64Array(candidates * SECTIONS);
  const parts: JudgePart[][] = [];
  for (let c = 0; c < candidates; c++)
    for (let s = 0; s < SECTIONS; s++) {
      const made = new Float64Array(judges);
      let [sum, seen] = [0, 0];
      for (let cell = s * SECTION_CELLS; cell < (s + 1) * SECTION_CELLS; cell++) {
        let [count, levels] = [0, 0];
        for (let j = 0; j < judges; j++) {
          const mark = marks[(c * judges + j) * CELLS + cell] as number;
          if (Number.isNaN(mark)) continue;
          count++;
          levels += mark;
        }
        if (count === 0) continue;
        const weight = CELL_IN_SECTION[cell] as number;
        seen += weight;
        sum += (weight * levels) / count;
        for (let j = 0; j < judges; j++)
          if (!Number.isNaN(marks[(c * judges + j) * CELLS + cell] as number))
            made[j] = (made[j] as number) + weight / count;
      }
      sections[c * SECTIONS + s] = sum / seen;
      parts.push(
        Array.from(made, (weight, judge) => ({ judge, part: weight / seen })).filter(
          ({ part }) => part > 0,
        ),
      );
    }
  const cells = markedCells(day);
  return { sections, parts, scores: composites(cells), cells };
}

export function markedCells({ candidates, marks, design: { judges } }: Day): MarkedCells {
  let size = 0;
  for (const mark of marks) if (!Number.isNaN(mark)) size++;
  const cells: MarkedCells = {
    judges,
    candidates,
    candidate: new Int32Array(size),
    judge: new Int32Array(size),
    cell: new Int32Array(size),
    level: new Float64Array(size),
    weights: CELL_IN_WHOLE,
  };
  let at = 0;
  for (let i = 0; i < marks.length; i++) {
    const mark = marks[i] as number;
    if (Number.isNaN(mark)) continue;
    const pair = Math.floor(i / CELLS);
    cells.candidate[at] = Math.floor(pair / judges);
    cells.judge[at] = pair % judges;
    cells.cell[at] = i % CELLS;
    cells.level[at] = mark;
    at++;
  }
  return cells;
}
