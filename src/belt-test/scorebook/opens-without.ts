import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { MarkedPlace } from "../kinds/marked-place.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Whether the marks there are closed, and taking a judge off would open them at once: all others have locked, or stepped back. That is an opening
 * without that judge, which takes a reason, and no change of the plan.
 *
 * @param isTheirs  the place that nobody would have any more, by who had it in turn: of a watch that is taken off whoever had it first, of a place that is given away whoever has it
 * @param isLocked  of a judge: a chief holds no lock of marks that are closed, and knows from the hub who has locked
 */
export function opensWithout(
  { panel, openings }: Scorebook,
  { candidate, section }: MarkedPlace,
  isTheirs: (holders: readonly PersonId[]) => boolean,
  isLocked: (judge: PersonId) => boolean,
): boolean {
  if (openings.isRevealed(candidate, section)) return false;
  const others = panel.placesAt(candidate, section, NOW).filter((holders) => !isTheirs(holders));
  return (
    others.some((holders) => holders.some(isLocked)) &&
    others.every(
      (holders) =>
        holders.some(isLocked) || panel.isRecused(holders.at(-1) as PersonId, candidate, section),
    )
  );
}
