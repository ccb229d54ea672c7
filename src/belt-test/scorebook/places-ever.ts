import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { CountedPlace } from "./counts.ts";
import type { Panel } from "./panel.ts";

/** Every child's section that somebody was to watch by any plan there has been, once: where nobody watches any more marks may be open. */
export function everWatched(panel: Panel): CountedPlace[] {
  const places = new Map<string, CountedPlace>();
  for (const { candidates, section } of panel.everTold)
    for (const candidate of candidates)
      places.set(`${candidate}/${section}`, { candidate, section });
  return [...places.values()];
}

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
