import type { Rubric } from "../../belt-test/rubric/rubric.ts";

/**
 * The level whose worth is nearest to a share of all points; of two equally near ones the lower.
 * @param percent 0–100.
 * @example
 * nearestLevel(60, { levels: fourEven, meetsLevel: 3 }); // => 3 where level 3 is worth 66.7
 */
export function nearestLevel(percent: number, { levels }: Rubric["scale"]): number {
  let nearest = 1;
  levels.forEach(({ points }, at) => {
    const best = levels[nearest - 1]?.points ?? 0;
    if (Math.abs(points - percent) < Math.abs(best - percent)) nearest = at + 1;
  });
  return nearest;
}
