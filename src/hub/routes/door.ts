import type { FastifyPluginAsync } from "fastify";
import * as z from "zod/mini";
import { harmless } from "../../core/harmless-text.ts";
import { DeviceId, GradingId, PersonId } from "../../core/identity.ts";
import { Role } from "../../core/scorebook/entry.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";
import { bearer, checked } from "../answers.ts";
import { opensTo } from "../doorkeeper.ts";
import type { FrontDesk } from "../front-desk.ts";
import { type TryLimit, type WrongTries, withLimit } from "../try-limit.ts";

const Join = z.object({
  code: z.string().check(z.minLength(1), z.maxLength(32)),
  device: DeviceId,
  name: z.string().check(z.overwrite(harmless), z.trim(), z.minLength(1), z.maxLength(60)),
  wants: Role,
});
const InGrading = z.object({ grading: GradingId });
const AtDoor = z.object({ grading: GradingId, device: DeviceId });
const Admit = z.object({
  person: z.optional(PersonId),
  roles: z.array(Role).check(z.minLength(1), z.maxLength(4)),
});

/** What anybody may know of a device: never its token, nor where it knocked from. */
const shown = ({ device, name, wants, state, person, roles, sinceMs }: DeviceRow) => ({
  device,
  name,
  wants,
  state,
  roles,
  sinceMs,
  ...(person === null ? {} : { person }),
});

/** Coming in: anybody with the code knocks, the chief decides. */
export function doorRoutes(
  desk: FrontDesk,
  { tries, wrong }: { tries: TryLimit; wrong: WrongTries },
): FastifyPluginAsync {
  return async (hub) => {
    hub.post("/api/join", withLimit("anybody", tries), async (request) => {
      const knock = { ...checked(Join, request.body), address: request.ip };
      return wrong.try(() => desk.join(knock));
    });
    hub.get("/api/me", opensTo("known"), async (request) => {
      const row = await desk.me(bearer(request));
      return { grading: row.grading, ...shown(row) };
    });

    hub.get("/api/gradings/:grading/devices", opensTo("test's chief"), async (request) => {
      const { grading } = checked(InGrading, request.params);
      return { devices: (await desk.devices(grading)).map(shown) };
    });
    hub.post(
      "/api/gradings/:grading/devices/:device/admit",
      opensTo("test's chief"),
      async (request) => {
        const { grading, device } = checked(AtDoor, request.params);
        return desk.admit(grading, device, checked(Admit, request.body), bearer(request));
      },
    );
    hub.post(
      "/api/gradings/:grading/devices/:device/refuse",
      opensTo("test's chief"),
      async (request) => {
        const { grading, device } = checked(AtDoor, request.params);
        await desk.refuse(grading, device, bearer(request));
        return { device, state: "refused" };
      },
    );
    hub.post(
      "/api/gradings/:grading/devices/:device/revoke",
      opensTo("test's chief"),
      async (request) => {
        const { grading, device } = checked(AtDoor, request.params);
        await desk.revoke(grading, device, bearer(request));
        return { device, state: "revoked" };
      },
    );
  };
}
