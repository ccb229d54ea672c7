import type { CandidateId, SectionId } from "../identity.ts";

/** A child's section: marks open place by place. */
export interface MarkedPlace {
  candidate: CandidateId;
  section: SectionId;
}

/** As the rows of kinds say where a line belongs. */
export const placeOf = ({ candidate, section }: MarkedPlace): readonly MarkedPlace[] => [
  { candidate, section },
];
export const placesOf = ({
  candidates,
  section,
}: {
  candidates: readonly CandidateId[];
  section: SectionId;
}): readonly MarkedPlace[] => candidates.map((candidate) => ({ candidate, section }));

/** The same text for the same place. */
export const markedPlaceKey = ({ candidate, section }: MarkedPlace): string =>
  `${candidate}/${section}`;

/** Each place once, in the order in which they first come. */
export const eachPlaceOnce = (places: readonly MarkedPlace[]): MarkedPlace[] => [
  ...new Map(places.map((place) => [markedPlaceKey(place), place])).values(),
];
