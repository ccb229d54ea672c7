import type { Rubric } from "./rubric.ts";

/** Whether a level given by one of two rubrics means the same by the other: as many levels, and the same of them *Meets*. */
export const isScaleOf = ({ scale: a }: Rubric, { scale: b }: Rubric): boolean =>
  a.levels.length === b.levels.length && a.meetsLevel === b.meetsLevel;

/** What a mark says of the scale that it was given by: of how many levels, and which of them is *Meets*. */
export const scaleOf = ({ scale: { levels, meetsLevel } }: Rubric): [number, number] => [
  levels.length,
  meetsLevel,
];

/** The same for rubrics that a judge reads the same on the glass: the words of the levels too. */
export const scaleKey = ({ scale: { levels, meetsLevel } }: Rubric): string =>
  JSON.stringify([meetsLevel, ...levels.map(({ title }) => title)]);
