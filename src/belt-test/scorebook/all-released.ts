import { isAway } from "./presence.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * Every sheet there is to release is released, and there is one at least: one for everybody here;
 * in a closed test, where no verdict is waited for any more, one for every verdict.
 */
export function isAllReleased({ plan, floor, decisions }: Scorebook): boolean {
  const owed = plan.entrants.filter(({ candidate }) =>
    plan.isClosed ? decisions.verdict(candidate) !== undefined : !isAway(floor.presence(candidate)),
  );
  return (
    owed.length > 0 && owed.every(({ candidate }) => decisions.release(candidate) !== undefined)
  );
}
