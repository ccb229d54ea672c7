import { compared, type Rational } from "../exact/rational.ts";
import type { ItemId } from "../identity.ts";

/** What a section must come to, unrounded, in percent: all of it (its floor), or an item that must be shown. */
export type LineKind = "floor" | "must-show";
export interface Line {
  kind: LineKind;
  /** null: the section. */
  item: ItemId | null;
  at: Rational;
  /** Of which cells it is asked. */
  cells: readonly number[];
}
/** Of one section: its floor, then its must-shows in the rubric's order. */
export type Lines = readonly [Line, ...Line[]];

/** A line that is not reached. */
export interface Unmet {
  kind: LineKind;
  item: ItemId | null;
  /** `unseen`: nothing of it, or too little, was seen. */
  why: "below" | "unseen";
}

/**
 * Which lines are not reached: the one place that asks, for the result, for the adjusted result and for whatever is tried.
 *
 * @param scoreOf  what the cells of a line come to, in percent; null where nothing of it, or too little, was seen
 */
export const unmet = (lines: Lines, scoreOf: (line: Line) => Rational | null): Unmet[] =>
  lines.flatMap((line): Unmet[] => {
    const score = scoreOf(line);
    if (score !== null && compared(score, line.at) >= 0) return [];
    return [{ kind: line.kind, item: line.item, why: score === null ? "unseen" : "below" }];
  });
