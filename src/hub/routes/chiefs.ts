import type { FastifyPluginAsync } from "fastify";
import * as z from "zod/mini";
import { FaultError } from "../../book/faults.ts";
import { bearer, checked } from "../door/answers.ts";
import { chiefDevices, meantDevice } from "../door/chief-devices.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { hashOf } from "../seals/secrets.ts";

const OneDevice = z.object({ id: z.string().check(z.regex(/^[0-9a-f]{64}$/)) });

/** Devices on which somebody is chief, for the hub's chief alone: which there are, and ending one at once and for good. */
export function chiefsRoutes(desk: FrontDesk): FastifyPluginAsync {
  return async (hub) => {
    const chiefOnly = opensTo("hub's chief");
    const listed = async (token: string) => {
      const own = hashOf(token);
      return {
        devices: (await chiefDevices(desk.tables)).map(({ in: where, ...device }) => ({
          ...device,
          isThis: device.id === own,
          name: where.find(({ name }) => name)?.name ?? "",
          tests: where.map(({ grading }) => grading),
        })),
      };
    };
    hub.get("/api/chiefs", chiefOnly, (request) => listed(bearer(request)));
    hub.post("/api/chiefs/:id/end", chiefOnly, async (request) => {
      const { id } = checked(OneDevice, request.params);
      const meant = meantDevice(await chiefDevices(desk.tables), id);
      if (!meant) throw new FaultError({ code: "NOT_ADMITTED" });
      await desk.endToken(meant.id);
      // A chief that ended itself has seen its last list.
      return id === hashOf(bearer(request)) ? { devices: [] } : listed(bearer(request));
    });
  };
}
