import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { MarkedPlace } from "../kinds/marked-place.ts";
import type { HeldPlace } from "./held-place.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Whether the marks there are closed, and taking a judge off would open them at once: all others have locked, or stepped back. That is an opening
 * without that judge, which takes a reason, and no change of the plan.
 *
 * @param isTheirs  the place that nobody would have any more: of a watch that is taken off whoever had it first, of a place that is given away whoever has it
 * @param isLocked  of a judge: a chief holds no lock of marks that are closed, and knows from the hub who has locked
 */
export function opensWithout(
  { panel, openings }: Scorebook,
  { candidate, section }: MarkedPlace,
  isTheirs: (place: HeldPlace) => boolean,
  isLocked: (judge: PersonId) => boolean,
): boolean {
  if (openings.isRevealed(candidate, section)) return false;
  const others = panel.placesAt(candidate, section, NOW).filter((place) => !isTheirs(place));
  return (
    others.some(({ speakers }) => speakers.some(isLocked)) &&
    others.every(
      ({ holder, speakers }) =>
        speakers.some(isLocked) || panel.isRecused(holder, candidate, section),
    )
  );
}
