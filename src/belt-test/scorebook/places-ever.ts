import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { eachPlaceOnce, type MarkedPlace, placesOf } from "../kinds/marked-place.ts";
import type { Panel } from "./panel.ts";

/** Every child's section that somebody was to watch by any plan there has been, once: where nobody watches any more marks may be open. */
export const everWatched = (panel: Panel): MarkedPlace[] =>
  eachPlaceOnce(panel.everTold.flatMap(placesOf));

/** Whether a judge has, or ever had, a place there. */
export function hasHadPlace(
  panel: Panel,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): boolean {
  const first = panel.everTold
    .filter((body) => body.section === section && body.candidates.includes(candidate))
    .map((body) => body.judge);
  // Whoever gave it away may say anew to whom: then it was another's for a while.
  const moments = [NOW, ...panel.replacements.map(({ lamport }) => lamport)];
  return [...new Set(first)].some((one) =>
    moments.some((at) => panel.holders(one, at).includes(judge)),
  );
}
