import type { PersonId } from "../../book/identity.ts";
import { LEVEL_PARTS } from "../../ratings/panel-mark.ts";
import type { Place } from "../scorebook/cell.ts";
import type { CandidateCase, Question } from "./outcome.ts";
import { type PanelCell, withLevels, withoutJudge } from "./panel-cells.ts";
import type { Overruled, Seen, Standing } from "./standing.ts";
import type { Weighing } from "./weighing.ts";

/** One way a question may be settled: cells that would come to something else, or what would be overruled. */
export interface Alternative {
  cells?: ReadonlyMap<number, Seen>;
  overruled?: Overruled;
}

/** A question before its effect is known, with the ways it may be settled. */
export interface Posed {
  question: Omit<Question, "effect" | "isSettled" | "swing" | "flips">;
  alternatives: readonly Alternative[];
}

export interface Reconciled {
  from: CandidateCase;
  weighing: Weighing;
  cells: readonly PanelCell[];
  standing: Standing;
}

export function cellsOf(
  { weighing, cells }: Reconciled,
  at: number,
): { index: number; place: Place; top: number; cell: PanelCell }[] {
  const { from, to } = weighing.sections[at] as Weighing["sections"][number];
  return Array.from({ length: to - from }, (_, offset) => {
    const index = from + offset;
    const { place, top } = weighing.cells[index] as Weighing["cells"][number];
    return { index, place, top, cell: cells[index] as PanelCell };
  });
}

export const ruleOf = ({ from }: Reconciled) => from.rubric.panel.combine;

export function without({ judges, levels }: PanelCell, judge: PersonId): PanelCell {
  return {
    judges: judges.filter((one) => one !== judge),
    levels: levels.filter((_, place) => judges[place] !== judge),
    combined: null,
  };
}

/** A cell may come to anything between its judges' lowest and highest mark. */
export function widest(cells: { index: number; cell: PanelCell }[]): Alternative[] {
  const marked = cells.filter(({ cell }) => cell.levels.length > 0);
  const bound = (end: (...levels: number[]) => number) => ({
    cells: new Map(marked.map(({ index, cell }) => [index, end(...cell.levels) * LEVEL_PARTS])),
  });
  return [bound(Math.min), bound(Math.max)];
}

/** The lowest and the highest that missing marks could make of their cells. */
export function filled(
  reconciled: Reconciled,
  short: { index: number; cell: PanelCell; top: number; missing: number }[],
): Alternative[] {
  const rule = ruleOf(reconciled);
  return [() => 1, (top: number) => top].map((level) => ({
    cells: new Map(
      short.map(({ index, cell, top, missing }) => [
        index,
        // Algorithm A may pull a far mark in so much that a nearer one would move the mean more: its bound is the scale.
        rule === "robust"
          ? level(top) * LEVEL_PARTS
          : withLevels(
              cell,
              Array.from({ length: missing }, () => level(top)),
              rule,
            ),
      ]),
    ),
  }));
}

export function leftOut(
  reconciled: Reconciled,
  judge: PersonId,
  cells: { index: number; cell: PanelCell }[],
): Alternative {
  const touched = cells.filter(({ cell }) => cell.judges.includes(judge));
  return {
    cells: new Map(
      touched.map(({ index, cell }) => [index, withoutJudge(cell, judge, ruleOf(reconciled))]),
    ),
  };
}
