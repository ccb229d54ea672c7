import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Whether the marks there are closed, and taking this judge's watch off would open them at once: all others have locked, or stepped back. That is an opening
 * without this judge, which takes a reason, and no change of the plan.
 *
 * @param isLocked  of a judge: a chief holds no lock of marks that are closed, and knows from the hub who has locked
 */
export function opensWithout(
  { panel, openings }: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
  isLocked: (judge: PersonId) => boolean,
): boolean {
  if (openings.isRevealed(candidate, section)) return false;
  const others = panel.placesAt(candidate, section, NOW).filter((holders) => holders[0] !== judge);
  return (
    others.some((holders) => holders.some(isLocked)) &&
    others.every(
      (holders) =>
        holders.some(isLocked) || panel.isRecused(holders.at(-1) as PersonId, candidate, section),
    )
  );
}
