import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { criteriaAt, markedSides, sectionOf } from "../rubric/lookup.ts";
import type { Place } from "./cell.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Which cells a judge is to fill for one candidate in one section: what must be marked, or said to be not seen, before that judge may lock.
 *
 * Replacements and recusals are applied, excused items left out; two assignments of one judge add up, and an unlimited one is the widest.
 * @param at  logical time: what was to be filled by the plan of then
 * @returns none for a judge who is not assigned, an unknown section, or a candidate without a rubric. In the rubric's order; an item's sides are apart where they are marked apart; once-a-section criteria come last.
 */
export function assignedPlaces(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  sectionId: SectionId,
  at = NOW,
): Place[] {
  const rubric = book.plan.rubricOf(candidate, at);
  const section = rubric && sectionOf(rubric, sectionId);
  const asked = book.panel.askedOf(judge, candidate, sectionId, at);
  if (!section || !asked) return [];
  const { items, criteria } = asked;
  const places: Place[] = [];
  for (const item of [...section.items, null]) {
    if (item && ((items && !items.includes(item.id)) || book.plan.excuse(candidate, item.id)))
      continue;
    for (const side of markedSides(item))
      for (const criterion of criteriaAt(section, item))
        if (!criteria || criteria.includes(criterion))
          places.push({ section: sectionId, item: item?.id ?? null, side, criterion });
  }
  return places;
}
