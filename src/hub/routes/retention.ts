import type { FastifyPluginAsync } from "fastify";
import * as z from "zod/mini";
import { GradingId } from "../../core/identity.ts";
import { bearer, checked } from "../answers.ts";
import type { FrontDesk } from "../front-desk.ts";
import type { RetentionClock } from "../retention-clock.ts";
import { RetentionRule } from "../retention-rule.ts";

/** Above the number of tests that a screen shows at once. */
const MOST_SHOWN = 500;
const Shown = z.object({ gradings: z.array(GradingId).check(z.maxLength(MOST_SHOWN)) });
const Erase = z.object({ grading: GradingId, isDry: z.boolean() });

/** How long names are kept, for the hub's chief alone: what was chosen, what is due, that a warning was seen, and erasing a test's names. */
export function retentionRoutes(desk: FrontDesk, clock: RetentionClock): FastifyPluginAsync {
  return async (hub) => {
    const chiefOnly = (token: string) => desk.gradings(token);

    hub.get("/api/names-kept", async (request) => {
      await chiefOnly(bearer(request));
      return clock.state();
    });
    hub.post("/api/names-kept", async (request) => {
      await chiefOnly(bearer(request));
      await clock.choose(checked(RetentionRule, request.body));
      return clock.state();
    });
    hub.post("/api/names-kept/shown", async (request) => {
      await chiefOnly(bearer(request));
      await clock.shown(checked(Shown, request.body).gradings);
      return clock.state();
    });
    hub.post("/api/names-kept/erase", async (request) => {
      await chiefOnly(bearer(request));
      const { grading, isDry } = checked(Erase, request.body);
      return clock.erase(grading, isDry);
    });
  };
}
