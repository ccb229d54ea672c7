import type { FastifyPluginAsync } from "fastify";
import { doors } from "../../line/doors.ts";
import { atDoor } from "../door/at-door.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { RetentionClock } from "../forgetting/retention-clock.ts";

/** How long names are kept, for the hub's chief alone: what was chosen, what is due, that a warning was seen, and erasing a test's names. */
export function retentionRoutes(clock: RetentionClock): FastifyPluginAsync {
  return async (hub) => {
    const chiefOnly = opensTo("hub's chief");
    atDoor(hub, doors.namesKept, chiefOnly, () => clock.state());
    atDoor(hub, doors.chooseNamesKept, chiefOnly, async (rule) => {
      await clock.choose(rule);
      return clock.state();
    });
    atDoor(hub, doors.namesShown, chiefOnly, async ({ gradings }) => {
      await clock.shown(gradings);
      return clock.state();
    });
    atDoor(hub, doors.eraseNames, chiefOnly, ({ grading, isDry }) => clock.erase(grading, isDry));
  };
}
