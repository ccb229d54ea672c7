import { createReadStream } from "node:fs";
import { basename } from "node:path";
import type { FastifyPluginAsync } from "fastify";
import { FaultError } from "../../core/faults.ts";
import { bearer } from "../answers.ts";
import type { Backups } from "../backups.ts";
import type { FrontDesk } from "../front-desk.ts";

/** The copies of this hub, for its chief alone: how they stand, one more now, the newest to take away. */
export function backupsRoutes(desk: FrontDesk, backups: Backups | undefined): FastifyPluginAsync {
  return async (hub) => {
    const chiefOnly = (token: string) => desk.gradings(token);
    const state = () => ({ backups: backups?.state ?? null });

    hub.get("/api/backups", async (request) => {
      await chiefOnly(bearer(request));
      return state();
    });
    hub.post("/api/backups", async (request) => {
      await chiefOnly(bearer(request));
      await backups?.now();
      return state();
    });
    hub.get("/api/backups/newest", async (request, reply) => {
      await chiefOnly(bearer(request));
      const file = backups?.newest;
      if (!file) throw new FaultError({ code: "FILE_MISSING", with: { file: "backup" } });
      return reply
        .header("cache-control", "no-store")
        .header("content-disposition", `attachment; filename="${basename(file)}"`)
        .type("application/vnd.sqlite3")
        .send(createReadStream(file));
    });
  };
}
