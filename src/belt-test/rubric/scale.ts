import type { CriterionId } from "../identity.ts";
import { DONE, type Rubric } from "./rubric.ts";

/** What a mark says of the scale that it was given by: of how many levels, and which of them is *Meets*. */
export const scaleOf = ({ scale: { levels, meetsLevel } }: Rubric): [number, number] => [
  levels.length,
  meetsLevel,
];

/** Whether a level given by such a scale means the same by a rubric. */
export const isGivenBy = (
  rubric: Rubric,
  [levels, meetsLevel]: readonly [number, number],
): boolean => rubric.scale.levels.length === levels && rubric.scale.meetsLevel === meetsLevel;

/** Whether a mark's level is read by a rubric. A list has a scale of its own; a mark of before says no scale, and is read by any. */
export const isReadBy = (
  rubric: Rubric,
  scale: readonly [number, number] | undefined,
  criterion: CriterionId,
): boolean => !scale || criterion === DONE || isGivenBy(rubric, scale);

/** Whether a level given by one of two rubrics means the same by the other. */
export const isScaleOf = (one: Rubric, other: Rubric): boolean => isGivenBy(one, scaleOf(other));

/** The same for rubrics that a judge reads the same on the glass: the words of the levels too. */
export const scaleKey = ({ scale: { levels, meetsLevel } }: Rubric): string =>
  JSON.stringify([meetsLevel, ...levels.map(({ title }) => title)]);
