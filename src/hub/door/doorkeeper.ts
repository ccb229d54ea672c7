import type { FastifyInstance, FastifyRequest } from "fastify";
import { FaultError } from "../../book/faults.ts";
import { GradingId } from "../../book/identity.ts";
import { bearer, checked } from "./answers.ts";
import type { FrontDesk } from "./front-desk.ts";
import type { SheetLinks } from "./sheet-links.ts";

/**
 * Whom a door opens to. `anybody`: what lies behind asks for a secret itself, or is nobody's. `known`: whoever has a token, waiting or in.
 * `this machine`: the hub's chief, and without any token whoever sits at the machine that the hub runs on.
 */
export type OpensTo =
  | "anybody"
  | "known"
  | "hub's chief"
  | "test's chief"
  | "link"
  | "this machine";

declare module "fastify" {
  interface FastifyContextConfig {
    opensTo?: OpensTo;
  }
}

/** What a route under /api/ says of itself: whom it opens to. */
export const opensTo = (who: OpensTo): { config: { opensTo: OpensTo } } => ({
  config: { opensTo: who },
});

/**
 * The one place where a caller's token is looked at: before the body is read, before anything is done. A route under /api/ that does not say
 * whom it opens to is no route: the hub does not start.
 */
export function keepDoors(hub: FastifyInstance, desk: FrontDesk, links: SheetLinks): void {
  const pass: Record<OpensTo, (request: FastifyRequest) => Promise<unknown>> = {
    anybody: async () => undefined,
    known: (request) => desk.me(bearer(request)),
    "hub's chief": (request) => desk.hubsChief(bearer(request)),
    async "test's chief"(request) {
      const token = bearer(request);
      const { grading } = request.params as { grading?: unknown };
      return desk.chiefOf(token, checked(GradingId, grading));
    },
    link: (request) => links.opened(bearer(request)),
    async "this machine"(request) {
      if (request.headers.authorization !== undefined) await desk.hubsChief(bearer(request));
      else if (!isHere(request)) throw new FaultError({ code: "TOKEN_WRONG" });
    },
  };
  hub.addHook("onRoute", ({ url, config }) => {
    if (url.startsWith("/api/") && !(config?.opensTo && config.opensTo in pass))
      throw new RangeError(`keepDoors: ${url} does not say whom it opens to`);
  });
  hub.addHook("onRequest", async (request) => {
    const { opensTo: who } = request.routeOptions.config;
    if (who !== undefined) await pass[who](request);
  });
}

const isHere = ({ ip }: FastifyRequest): boolean =>
  ["127.0.0.1", "::1", "::ffff:127.0.0.1"].includes(ip);
