import type { CandidateId } from "../identity.ts";
import { criteriaAt } from "../rubric/lookup.ts";
import type { Criterion, Item, Rubric } from "../rubric/rubric.ts";
import { placeOf } from "../scorebook/judge-view.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import type { Step } from "../script/script.ts";

/** What a rubric says of one step: the same for all of these candidates. */
export interface AskedOf {
  candidates: readonly CandidateId[];
  scale: Rubric["scale"];
  /** Those with cues: what the judge may recall to the eye. A checklist has several. */
  items: readonly Pick<Item, "id" | "title" | "cues">[];
  /** What each level looks like; none in a checklist, whose items are done or not. */
  criteria: readonly Pick<Criterion, "id" | "title" | "descriptors">[];
}

/**
 * What a step asks of these candidates, in the rubrics' own words and order; candidates of whom the same is asked stand together.
 * Nothing of candidates of whom nothing is asked there, or of whom the rubric says nothing.
 */
export function whatIsAsked(
  book: Scorebook,
  candidates: readonly CandidateId[],
  step: Pick<Step, "section" | "item" | "marking">,
): AskedOf[] {
  const found = new Map<string, AskedOf & { candidates: CandidateId[] }>();
  for (const candidate of candidates) {
    const place = placeOf(book, candidate, step);
    const rubric = book.plan.rubricOf(candidate);
    if (!place || !rubric) continue;
    const asked = criteriaAt(place.section, place.item);
    const items =
      step.marking === "checklist" ? place.section.items : place.item ? [place.item] : [];
    const its = {
      scale: rubric.scale,
      items: items.flatMap(({ id, title, cues }) => (cues.length > 0 ? [{ id, title, cues }] : [])),
      criteria: rubric.criteria.flatMap(({ id, title, descriptors }) =>
        asked.includes(id) ? [{ id, title, descriptors }] : [],
      ),
    };
    if (its.items.length + its.criteria.length === 0) continue;
    const key = JSON.stringify(its);
    const same = found.get(key);
    if (same) same.candidates.push(candidate);
    else found.set(key, { candidates: [candidate], ...its });
  }
  return [...found.values()];
}
