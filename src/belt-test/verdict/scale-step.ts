import type { Rubric } from "../rubric/rubric.ts";

/**
 * How many levels a quarter of the scale is: what is plausible or notable of judges was laid down on a scale of 0–4 (docs/fairness.md), and a level of a long scale is less than one of a short.
 *
 * @param given whose marks are looked at, by which rubric. @returns levels; where scales are mixed, the mean over the candidates; 1 of nobody.
 *
 * @example
 * scaleStep([]); // => 1
 */
export const scaleStep = (given: readonly { rubric: Pick<Rubric, "scale"> }[]): number =>
  given.reduce((sum, { rubric }) => sum + (rubric.scale.levels.length - 1) / 4, 0) / given.length ||
  1;
