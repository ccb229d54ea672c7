import type { BesideDoor } from "../door/beside-door.ts";
import { lastOf } from "../store/stands-log.ts";
import type { TakenAway } from "./forget-again.ts";

/** Notes it in the files beside the store. */
export function notedDoor({ ended, stands }: TakenAway, nowMs: () => number): BesideDoor {
  return {
    ended: (token) => void ended.note([{ token, at: new Date(nowMs()).toISOString() }]),
    stands({ tokenHash: token, grading, person, roles: all }) {
      if (person === null) return undefined;
      const roles = all.join(",");
      const theirs = stands.all().filter((one) => one.token === token && one.grading === grading);
      const [last] = lastOf(theirs);
      if (last?.person === person && last.roles === roles) return last.at;
      // Also after a clock was set back: the last word counts.
      const at = new Date(Math.max(nowMs(), last ? Date.parse(last.at) + 1 : 0)).toISOString();
      stands.note([{ token, grading, person, roles, at }]);
      return at;
    },
  };
}
