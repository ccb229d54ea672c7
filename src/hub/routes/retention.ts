import type { FastifyPluginAsync } from "fastify";
import * as z from "zod/mini";
import { GradingId } from "../../book/identity.ts";
import { checked } from "../door/answers.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { RetentionClock } from "../forgetting/retention-clock.ts";
import { RetentionRule } from "../forgetting/retention-rule.ts";

/** Above the number of tests that a screen shows at once. */
const MOST_SHOWN = 500;
const Shown = z.object({ gradings: z.array(GradingId).check(z.maxLength(MOST_SHOWN)) });
const Erase = z.object({ grading: GradingId, isDry: z.boolean() });

/** How long names are kept, for the hub's chief alone: what was chosen, what is due, that a warning was seen, and erasing a test's names. */
export function retentionRoutes(clock: RetentionClock): FastifyPluginAsync {
  return async (hub) => {
    const chiefOnly = opensTo("hub's chief");

    hub.get("/api/names-kept", chiefOnly, () => clock.state());
    hub.post("/api/names-kept", chiefOnly, async (request) => {
      await clock.choose(checked(RetentionRule, request.body));
      return clock.state();
    });
    hub.post("/api/names-kept/shown", chiefOnly, async (request) => {
      await clock.shown(checked(Shown, request.body).gradings);
      return clock.state();
    });
    hub.post("/api/names-kept/erase", chiefOnly, async (request) => {
      const { grading, isDry } = checked(Erase, request.body);
      return clock.erase(grading, isDry);
    });
  };
}
