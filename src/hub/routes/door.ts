import type { FastifyPluginAsync } from "fastify";
import * as z from "zod/mini";
import { Role } from "../../belt-test/kinds/body-parts.ts";
import { harmless } from "../../book/harmless-text.ts";
import { DeviceId, GradingId, PersonId } from "../../book/identity.ts";
import type { Clock } from "../../ports/clock.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";
import { bearer, checked } from "../door/answers.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { type TryLimit, type WrongTries, withLimit } from "../door/try-limit.ts";
import type { Admissions } from "../hall/admissions.ts";
import type { Halls } from "../hall/halls.ts";

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
  {
    tries,
    wrong,
    admissions,
    halls,
    clock,
  }: {
    tries: TryLimit;
    wrong: WrongTries;
    admissions: Admissions;
    halls: Halls;
    clock: Clock;
  },
): FastifyPluginAsync {
  /** Of a device that waits for the person's own word: whether the chief may press again by now; and of whom it is not. */
  const askedOf = ({ grading, device, state }: DeviceRow) => {
    const hall = halls.open(grading);
    const asked = state === "waiting" ? hall?.questions.of(device) : undefined;
    const deniedBy = hall?.questions.deniedBy(device);
    return {
      ...(hall && asked
        ? {
            asked: {
              person: asked.person,
              again:
                hall.questions.isOverdue(asked, clock.steadyMs()) ||
                !hall.isHere(asked.person, device),
            },
          }
        : {}),
      ...(deniedBy ? { deniedBy } : {}),
    };
  };

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
      return {
        devices: (await desk.devices(grading)).map((row) => ({ ...shown(row), ...askedOf(row) })),
      };
    });
    hub.post(
      "/api/gradings/:grading/devices/:device/admit",
      opensTo("test's chief"),
      async (request, reply) => {
        const { grading, device } = checked(AtDoor, request.params);
        const as = checked(Admit, request.body);
        const admission = await admissions.admit(grading, device, as, bearer(request));
        return reply.code(admission.state === "asked" ? 202 : 200).send(admission);
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
