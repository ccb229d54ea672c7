import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Whether the marks there are closed, and taking this judge's watch off would open them at once: all others have locked, or stepped back. That is an opening
 * without this judge, which takes a reason, and no change of the plan.
 */
export function opensWithout(
  { panel, openings }: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): boolean {
  if (openings.isRevealed(candidate, section)) return false;
  const isLocked = (holders: readonly PersonId[]) =>
    holders.some((one) => openings.hasLocked(one, candidate, section));
  const others = panel.placesAt(candidate, section, NOW).filter((holders) => holders[0] !== judge);
  return (
    others.some(isLocked) &&
    others.every(
      (holders) =>
        isLocked(holders) || panel.isRecused(holders.at(-1) as PersonId, candidate, section),
    )
  );
}
