import { compared, type Rational } from "../exact/rational.ts";
import type { ItemId } from "../identity.ts";

/** A line that a section must reach, unrounded: its floor, or that of an item which must be shown. Percent. */
export interface Line {
  /** null: the section's own floor. */
  item: ItemId | null;
  at: Rational;
  /** Of which cells it is asked. */
  cells: readonly number[];
}
/** Of one section: its floor, then its must-shows in the rubric's order. */
export type Lines = readonly [Line, ...Line[]];

export interface Reached {
  /** Whether all of them are, and all that must be shown was seen. */
  met: boolean;
  mustShowUnmet: readonly ItemId[];
  mustShowUnseen: readonly ItemId[];
}

/**
 * Which lines are reached: the one place that asks, for the result, for the adjusted result and for whatever is tried.
 *
 * @param scoreOf  what the cells of a line come to, in percent; null where nothing of it, or too little, was seen
 */
export function reached(lines: Lines, scoreOf: (line: Line) => Rational | null): Reached {
  const mustShowUnmet: ItemId[] = [];
  const mustShowUnseen: ItemId[] = [];
  let isAboveFloor = false;
  for (const line of lines) {
    const score = scoreOf(line);
    const isReached = score !== null && compared(score, line.at) >= 0;
    if (line.item === null) isAboveFloor = isReached;
    else if (score === null) mustShowUnseen.push(line.item);
    else if (!isReached) mustShowUnmet.push(line.item);
  }
  const met = isAboveFloor && mustShowUnmet.length + mustShowUnseen.length === 0;
  return { met, mustShowUnmet, mustShowUnseen };
}
