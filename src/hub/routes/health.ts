import type { FastifyPluginAsync } from "fastify";
import { doors } from "../../line/doors.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { atDoor } from "../door/at-door.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { heldGradings } from "../door/held-gradings.ts";
import { TitlePages } from "../test-room/title-pages.ts";

/**
 * GET /health: that the hub is alive, and how much it holds; no names. Asked by anybody, so entries are counted of closed tests alone:
 * of one that is under way the count would tell how often a judge has tapped.
 */
export function healthRoute(
  store: ScorebookStore,
  desk: FrontDesk,
  { version, storeName }: { version: string; storeName: string },
): FastifyPluginAsync {
  const pages = new TitlePages(store);
  return async (hub) => {
    atDoor(hub, doors.health, {}, async () => {
      const counts = await pages.of((await store.gradings()).map(({ grading }) => grading));
      return {
        status: "ok",
        version,
        store: storeName,
        gradings: await heldGradings(desk, store),
        entries: counts.reduce((sum, { entries = 0 }) => sum + entries, 0),
      };
    });
  };
}
