import type { FastifyPluginAsync } from "fastify";
import { FaultError } from "../../book/faults.ts";
import { doors } from "../../line/doors.ts";
import { bearer } from "../door/answers.ts";
import { atDoor } from "../door/at-door.ts";
import { chiefDevices, meantDevice } from "../door/chief-devices.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { hashOf } from "../seals/secrets.ts";

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
    atDoor(hub, doors.chiefs, chiefOnly, (_, request) => listed(bearer(request)));
    atDoor(hub, doors.endChief, chiefOnly, async ({ id }, request) => {
      const meant = meantDevice(await chiefDevices(desk.tables), id);
      if (!meant) throw new FaultError({ code: "NOT_ADMITTED" });
      await desk.endToken(meant.id);
      // A chief that ended itself has seen its last list.
      return id === hashOf(bearer(request)) ? { devices: [] } : listed(bearer(request));
    });
  };
}
