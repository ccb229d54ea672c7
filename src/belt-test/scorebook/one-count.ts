import type { CandidateId, SectionId } from "../identity.ts";
import type { MarkedPlace } from "../kinds/marked-place.ts";
import { markOf } from "./counts.ts";
import type { Plan } from "./plan.ts";

/** Every section that a rubric of this test asks for, or did before it was replaced. */
export const sectionsEver = (plan: Plan): SectionId[] => [
  ...new Set(plan.rubricsEver().flatMap(({ sections }) => sections.map(({ id }) => id))),
];

/**
 * Two places that every device would count as one: what is open at the one would tell how much is closed at the other. By chance one in four thousand million,
 * but whoever enters a child chooses how it is called.
 */
export function placesCountedAsOne(
  candidates: readonly CandidateId[],
  sections: readonly SectionId[],
): [MarkedPlace, MarkedPlace] | undefined {
  const places = new Map<string, MarkedPlace>();
  for (const candidate of candidates)
    for (const section of sections) {
      const place = { candidate, section };
      const mark = markOf(place);
      const other = places.get(mark);
      if (other) return [other, place];
      places.set(mark, place);
    }
  return undefined;
}
