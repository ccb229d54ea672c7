import type { DeviceRow } from "../../ports/door-tables.ts";
import type { TakenAway } from "../forgetting/forget-again.ts";
import { lastOf } from "../store/stands-log.ts";

/** Told of what a copy from before would undo at the door, before it is so: what is noted beside the store outlives the copy. */
export interface BesideDoor {
  /** This token opens nothing from now on. */
  ended(tokenHash: string): void;
  /** The holder of this token is in one test as this person and in these roles from now on. */
  stands(row: Pick<DeviceRow, "tokenHash" | "grading" | "person" | "roles">): void;
}

/** For a door whose store is never put back. */
export const nothingBeside: BesideDoor = { ended: () => undefined, stands: () => undefined };

export function besideDoor({ ended, stands }: TakenAway, nowMs: () => number): BesideDoor {
  return {
    ended: (token) => void ended.note([{ token, at: new Date(nowMs()).toISOString() }]),
    stands({ tokenHash: token, grading, person, roles: all }) {
      if (person === null) return;
      const roles = all.join(",");
      const theirs = stands.all().filter((one) => one.token === token && one.grading === grading);
      const [last] = lastOf(theirs);
      if (last?.person === person && last.roles === roles) return;
      // Also after a clock was set back: the last word counts.
      const at = new Date(Math.max(nowMs(), last ? Date.parse(last.at) + 1 : 0)).toISOString();
      stands.note([{ token, grading, person, roles, at }]);
    },
  };
}
