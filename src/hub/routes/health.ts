import type { FastifyPluginAsync } from "fastify";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { FrontDesk } from "../front-desk.ts";

/** GET /health: that the hub is alive, and how much it holds; no names. */
export function healthRoute(
  store: ScorebookStore,
  desk: FrontDesk,
  { version, storeName }: { version: string; storeName: string },
): FastifyPluginAsync {
  return async (hub) => {
    hub.get("/health", async () => {
      const counts = await store.gradings();
      return {
        status: "ok",
        version,
        store: storeName,
        // One that came in as a file has no maker at this hub's door, and is held all the same.
        gradings:
          desk.gradingCount + counts.filter(({ grading }) => !desk.hasMaker(grading)).length,
        entries: counts.reduce((sum, { entries }) => sum + entries, 0),
      };
    });
  };
}
