import type { CandidateId, SectionId } from "../identity.ts";
import type { MarkedPlace } from "../kinds/marked-place.ts";
import { markOf } from "./place-counts.ts";
import type { Plan } from "./plan.ts";

/** Every section that a rubric of this test asks for, or did before it was replaced. */
export const sectionsEver = (plan: Plan): SectionId[] => [
  ...new Set(plan.rubricsEver().flatMap(({ sections }) => sections.map(({ id }) => id))),
];

/** The places of a plan by what they are counted as. */
interface Known {
  places: Map<string, MarkedPlace>;
  candidates: Set<CandidateId>;
  sections: Set<SectionId>;
}
/** Nobody ever leaves a plan, and a hall of thousands is entered line by line. */
const known = new WeakMap<Plan, Known>();

function knownOf(plan: Plan): Known {
  let its = known.get(plan);
  if (!its)
    known.set(plan, (its = { places: new Map(), candidates: new Set(), sections: new Set() }));
  const { places, candidates, sections } = its;
  const add = (candidate: CandidateId, section: SectionId) =>
    places.set(markOf({ candidate, section }), { candidate, section });
  for (const section of sectionsEver(plan)) {
    if (sections.has(section)) continue;
    sections.add(section);
    for (const candidate of candidates) add(candidate, section);
  }
  for (const candidate of plan.candidates) {
    if (candidates.has(candidate)) continue;
    candidates.add(candidate);
    for (const section of sections) add(candidate, section);
  }
  return its;
}

/**
 * Two places that every device would count as one, of whom comes in: what is open at the one would tell how much is closed at the other. By chance one in four
 * thousand million, but whoever enters a child chooses how it is called.
 */
export function placesCountedAsOne(
  plan: Plan,
  { candidates, sections }: { candidates: readonly CandidateId[]; sections: readonly SectionId[] },
): [MarkedPlace, MarkedPlace] | undefined {
  const its = knownOf(plan);
  const news = new Map<string, MarkedPlace>();
  const [newCandidates, newSections] = [
    candidates.filter((one) => !its.candidates.has(one)),
    sections.filter((one) => !its.sections.has(one)),
  ];
  const pairs: MarkedPlace[] = [
    ...newCandidates.flatMap((candidate) =>
      [...its.sections, ...newSections].map((section) => ({ candidate, section })),
    ),
    ...newSections.flatMap((section) =>
      [...its.candidates].map((candidate) => ({ candidate, section })),
    ),
  ];
  for (const place of pairs) {
    const mark = markOf(place);
    const other = its.places.get(mark) ?? news.get(mark);
    if (other) return [other, place];
    news.set(mark, place);
  }
  return undefined;
}
