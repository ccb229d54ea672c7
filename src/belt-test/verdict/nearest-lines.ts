import type { SectionId } from "../identity.ts";
import type { Outcome } from "./outcome.ts";

/** How far a result stands from the lines it must meet, in percentage points: negative below them. */
export interface NearestLines {
  /** null where there is no total. */
  total: number | null;
  /** The section that is least above its floor, or most below it; null where no section with a floor has a score. */
  section: { id: SectionId; apart: number } | null;
}

/**
 * What a result hangs on: how far the total is from the pass mark, and which section is nearest to its floor.
 *
 * A section without a floor (0 %) cannot fail and is not looked at, nor is one that is excused. Of equal ones the first in the rubric's order.
 * Distances alone: a section of few marks moves more easily than the total, so the nearest line need not be the likeliest to be crossed.
 *
 * @param passMark in percent.
 */
export function nearestLines(
  { score, sections }: Pick<Outcome, "score" | "sections">,
  passMark: number,
): NearestLines {
  let section: NearestLines["section"] = null;
  for (const { id, score: its, floor, isExcused } of sections) {
    if (!its || floor <= 0 || isExcused) continue;
    const apart = its.percent - floor;
    if (!section || apart < section.apart) section = { id, apart };
  }
  return { total: score && score.percent - passMark, section };
}
