import type { FastifyPluginAsync } from "fastify";
import { doors } from "../../line/doors.ts";
import type { Clock } from "../../ports/clock.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";
import { bearer } from "../door/answers.ts";
import { atDoor } from "../door/at-door.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { isLegible, legible, shownRow } from "../door/legible-row.ts";
import { type TryLimit, type WrongTries, withLimit } from "../door/try-limit.ts";
import type { Admissions } from "../hall/admissions.ts";
import type { Halls } from "../hall/halls.ts";

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
    const testsChief = opensTo("test's chief");
    atDoor(hub, doors.join, withLimit("anybody", tries), (asked, request) =>
      wrong.try(() => desk.join({ ...asked, address: request.ip })),
    );
    atDoor(hub, doors.me, opensTo("known"), async (_, request) => {
      const row = await desk.me(bearer(request));
      return { grading: row.grading, ...(legible(row) ?? shownRow(row)) };
    });
    atDoor(hub, doors.devices, testsChief, async ({ grading }) => {
      const rows = await desk.devices(grading);
      const devices = rows.flatMap((row) => {
        const read = legible(row);
        return read ? [{ ...read, ...askedOf(row) }] : [];
      });
      const damaged = rows.filter((row) => !isLegible(row)).length;
      return { devices, ...(damaged > 0 && { damaged }) };
    });
    atDoor(hub, doors.admit, testsChief, async (asked, request, reply) => {
      const { grading, device, person, roles } = asked;
      const admission = await admissions.admit(grading, device, { person, roles }, bearer(request));
      reply.code(admission.state === "asked" ? 202 : 200);
      return admission;
    });
    atDoor(hub, doors.refuse, testsChief, async ({ grading, device }, request) => {
      await desk.refuse(grading, device, bearer(request));
      return { device, state: "refused" as const };
    });
    atDoor(hub, doors.revoke, testsChief, async ({ grading, device }, request) => {
      await desk.revoke(grading, device, bearer(request));
      return { device, state: "revoked" as const };
    });
  };
}
