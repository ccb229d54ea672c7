import type { FastifyInstance, FastifyReply, FastifyRequest, RouteShorthandOptions } from "fastify";
import type * as z from "zod/mini";
import type { Door } from "../../line/doors.ts";
import { checked } from "./answers.ts";

/** What came in at a door, parsed: what stands in the path and what the body says, together. */
type Asked<One extends Door> = z.infer<One["where"]> & z.infer<One["asks"]>;

/**
 * Opens a door of `line/doors.ts`. What it is asked is parsed before the answer is looked for; it tells what the door says that it tells, and no more.
 * @param opens  to whom: see doorkeeper.ts
 */
export function atDoor<
  Where extends z.ZodMiniType,
  Asks extends z.ZodMiniType,
  Tells extends z.ZodMiniType,
>(
  hub: FastifyInstance,
  door: Door<Where, Asks, Tells>,
  opens: RouteShorthandOptions,
  answer: (
    asked: Asked<Door<Where, Asks, Tells>>,
    request: FastifyRequest,
    reply: FastifyReply,
  ) => z.input<Tells> | Promise<z.input<Tells>>,
): void {
  hub.route({
    ...opens,
    method: door.method,
    url: door.path,
    handler: async (request, reply) => {
      const where = checked(door.where, request.params) as z.infer<Where> & object;
      const body = checked(door.asks, request.body) as z.infer<Asks> & object;
      const asked = { ...where, ...body } as Asked<Door<Where, Asks, Tells>>;
      // Whatever else a row of the store has in it stays here.
      return door.tells.parse(await answer(asked, request, reply));
    },
  });
}
