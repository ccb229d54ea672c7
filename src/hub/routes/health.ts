import type { FastifyPluginAsync } from "fastify";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { FrontDesk } from "../front-desk.ts";
import { heldGradings } from "../held-gradings.ts";

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
        gradings: await heldGradings(desk, store),
        entries: counts.reduce((sum, { entries }) => sum + entries, 0),
      };
    });
  };
}
