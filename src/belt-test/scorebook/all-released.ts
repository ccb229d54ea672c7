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
  // That of a withdrawn child, which bears no verdict, is none of a child who is here after all.
  const isReleased = ({ candidate }: (typeof owed)[number]) => {
    const release = decisions.release(candidate);
    return release !== undefined && release.body.of !== null;
  };
  return owed.length > 0 && owed.every(isReleased);
}
