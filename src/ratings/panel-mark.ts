import { algorithmA } from "./algorithm-a.ts";
import type { Combining } from "./combinings.ts";
import { keptByPosition } from "./kept-by-position.ts";
import { median } from "./median.ts";

/** A level is cut into this many parts, so that the mean of up to 20 judges is a whole number of them: lcm(1 … 20). */
export const LEVEL_PARTS = 232_792_560;

/** What the judges' marks of one cell come to. */
export interface Combined {
  /** The level in parts, `LEVEL_PARTS` to a level. */
  parts: number;
  /** Places in the list of marks whose mark is in it; all of them for a median, which every mark holds where it is. */
  used: readonly number[];
}

/**
 * The panel mark of one cell by the rubric's rule.
 *
 * `mean`, `median`: as ever. `drop-high-low`: one highest and one lowest are left out *by position after sorting* (with ties only one each goes),
 * then the mean; with fewer than three marks nothing is left out, since dropping two would leave nobody.
 * `robust`: the robust mean of Algorithm A (see algorithm-a.ts), to the nearest part of a level. The only one that can fall when a mark rises: of 1 2 2 2 4
 * it is 2.2, of 2 2 2 2 4 it is 2. With three or four judges on four levels it cannot.
 *
 * @param levels one per judge who saw the cell; the order of the judges changes `used` only between equal marks, never the mark.
 * @returns exact for mean, median and drop-high-low of up to 20 judges; else to the nearest part (a 200-millionth of a level).
 * @throws RangeError when nobody saw it, a level is not a positive whole number, or the rule is none of these.
 *
 * The mean follows every judge, a wild one too; the median holds while fewer than half are wrong together, and is coarse for two or four judges.
 * Source of drop by position: competition rules for judged forms, common practice.
 *
 * @example
 * panelMark([3, 4, 3], "median"); // => { parts: 3 * LEVEL_PARTS, used: [0, 1, 2] }
 * panelMark([4, 1, 3, 3, 2], "drop-high-low").used; // => [2, 3, 4]
 */
export function panelMark(levels: readonly number[], rule: Combining): Combined {
  const count = levels.length;
  if (count === 0) throw new RangeError("panelMark: nobody saw this cell");
  for (const level of levels)
    if (!Number.isInteger(level) || level < 1)
      throw new RangeError(`panelMark: ${level} is not a level`);
  switch (rule) {
    case "mean":
      return { parts: meanParts(levels), used: places(count) };
    case "robust":
      return { parts: Math.round(algorithmA(levels).mean * LEVEL_PARTS), used: places(count) };
    case "median":
      return { parts: Math.round(median(levels) * LEVEL_PARTS), used: places(count) };
    case "drop-high-low": {
      if (count < 3) return { parts: meanParts(levels), used: places(count) };
      const kept = keptByPosition(levels, 1);
      return {
        parts: meanParts(kept.map((place) => levels[place] as number)),
        used: kept.sort((a, b) => a - b),
      };
    }
    default:
      throw new RangeError(`panelMark: “${rule satisfies never}” is no rule`);
  }
}

const meanParts = (levels: readonly number[]): number => {
  let sum = 0;
  for (const level of levels) sum += level;
  return Math.round((sum * LEVEL_PARTS) / levels.length);
};

const placesOf: (readonly number[])[] = [];
/** 0, 1, 2 … count - 1. */
const places = (count: number): readonly number[] =>
  (placesOf[count] ??= Array.from({ length: count }, (_, place) => place));
