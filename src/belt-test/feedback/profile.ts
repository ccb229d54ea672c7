import type { CriterionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import type { Evidence } from "./evidence.ts";

/** One criterion over the whole test, for an adult's sheet. */
export interface ProfilePoint {
  criterion: CriterionId;
  title: string;
  /** Mean of the panel marks, weighted as they count, 0–100 and rounded to a whole number; null if nobody saw it. */
  percent: number | null;
}

/** Where somebody stands on each criterion, in the rubric's order. Checklists, which have no criteria, are left out. */
export function profile(rubric: Rubric, all: readonly Evidence[]): ProfilePoint[] {
  return rubric.criteria.map(({ id, title }) => {
    let points = 0;
    let shares = 0;
    for (const place of all) {
      if (place.criterion !== id) continue;
      points += place.share * place.points;
      shares += place.share;
    }
    return { criterion: id, title, percent: shares > 0 ? Math.round(points / shares) : null };
  });
}
