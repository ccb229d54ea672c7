import { type HeaviestStep, heaviestStep } from "./heaviest-step.ts";
import type { Rubric } from "./rubric.ts";

/**
 * What do so many lanes ask of one judge, where a rubric has candidates stand in a line?
 *
 * Sections done one candidate at a time are left out: they ask the same however wide the wave is.
 * @param lanes that this judge watches, 1 or more.
 * @returns the heaviest step; null when nothing is done in a line.
 * @throws RangeError if `lanes` is not a number of lanes.
 */
export const lineLoad = (rubric: Rubric, lanes: number): HeaviestStep | null =>
  heaviestStep(
    { ...rubric, sections: rubric.sections.filter(({ marking }) => marking === "line") },
    lanes,
  );
