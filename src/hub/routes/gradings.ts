import type { FastifyPluginAsync } from "fastify";
import * as z from "zod/mini";
import { DeviceId, GradingId } from "../../book/identity.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { bearer, checked } from "../door/answers.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { type TryLimit, type WrongTries, withLimit } from "../door/try-limit.ts";
import { TitlePages } from "../room/title-pages.ts";

const Claim = z.object({
  key: z.string().check(z.minLength(1), z.maxLength(64)),
  device: DeviceId,
});
const NewGrading = z.object({ grading: GradingId, device: DeviceId });
const InGrading = z.object({ grading: GradingId });

/** The chief's doors: claiming the hub, making gradings, the join code of each. */
export function gradingsRoutes(
  desk: FrontDesk,
  store: ScorebookStore,
  settings: { addresses: () => string[]; tries: TryLimit; wrong: WrongTries },
): FastifyPluginAsync {
  const pages = new TitlePages(store);
  return async (hub) => {
    hub.post("/api/claim", withLimit("anybody", settings.tries), async (request) => {
      const { key, device } = checked(Claim, request.body);
      return settings.wrong.try(() => desk.claim(key, device));
    });

    hub.post("/api/gradings", opensTo("hub's chief"), async (request) => {
      const token = bearer(request);
      const { grading, device } = checked(NewGrading, request.body);
      return desk.makeGrading(token, grading, device);
    });
    hub.get("/api/gradings", opensTo("hub's chief"), async (request) => {
      const mine = await desk.gradings(bearer(request));
      // What came in as a file has no maker yet; it is this hub's, and so its chief's.
      const made = await desk.made();
      const filed = (await store.gradings()).flatMap(({ grading }) =>
        made.has(grading) ? [] : [grading],
      );
      return { gradings: await pages.of([...mine, ...filed]) };
    });

    hub.get("/api/gradings/:grading/code", opensTo("test's chief"), async (request) => {
      const { grading } = checked(InGrading, request.params);
      return { code: await desk.code(grading), addresses: settings.addresses() };
    });
    hub.post("/api/gradings/:grading/code", opensTo("test's chief"), async (request) => {
      const { grading } = checked(InGrading, request.params);
      return { code: await desk.newCode(grading), addresses: settings.addresses() };
    });
  };
}
