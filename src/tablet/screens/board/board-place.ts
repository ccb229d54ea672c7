import type { Rubric, Section } from "../../../belt-test/rubric/rubric.ts";

/** Where a section's score hangs: −1 the far left, 0 on the line, 1 the far right; and the level whose shape it wears. */
export interface LinePlace {
  offset: number;
  level: number;
}

/**
 * A section's score beside the standard: its distance from what *Meets* everywhere would score, and the nearest level.
 *
 * @param percent the section's score, 0–100.
 * @returns `offset` in parts of the way to the lowest (−1) or the highest (1) possible score. A checklist's line is everything done, so nothing hangs right of it.
 *
 * @example
 * linePlace(66.7, section, rubric); // => { offset: 0, level: 3 } where Meets is worth 66.7
 */
export function linePlace(
  percent: number,
  section: Pick<Section, "marking">,
  { scale }: Pick<Rubric, "scale">,
): LinePlace {
  const { levels, meetsLevel } = scale;
  const meets = section.marking === "checklist" ? 100 : (levels[meetsLevel - 1]?.points ?? 100);
  const span = percent < meets ? meets : 100 - meets;
  const offset = span > 0 ? (percent - meets) / span : 0;
  if (section.marking === "checklist") {
    const shape = percent >= 100 ? meetsLevel : percent <= 0 ? 1 : Math.max(1, meetsLevel - 1);
    return { offset, level: shape };
  }
  let level = 1;
  for (let at = 2; at <= levels.length; at++) if (distance(at) < distance(level)) level = at;
  return { offset, level };

  function distance(at: number): number {
    return Math.abs((levels[at - 1]?.points ?? 0) - percent);
  }
}
