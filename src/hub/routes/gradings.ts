import type { FastifyPluginAsync } from "fastify";
import { doors } from "../../line/doors.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { bearer } from "../door/answers.ts";
import { atDoor } from "../door/at-door.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { type TryLimit, type WrongTries, withLimit } from "../door/try-limit.ts";
import { TitlePages } from "../test-room/title-pages.ts";

/** The chief's doors: claiming the hub, making gradings, the join code of each. */
export function gradingsRoutes(
  desk: FrontDesk,
  store: ScorebookStore,
  settings: { addresses: () => string[]; tries: TryLimit; wrong: WrongTries },
): FastifyPluginAsync {
  const pages = new TitlePages(store);
  return async (hub) => {
    atDoor(hub, doors.claim, withLimit("anybody", settings.tries), ({ key, device }) =>
      settings.wrong.try(() => desk.claim(key, device)),
    );

    const chiefOnly = opensTo("hub's chief");
    atDoor(hub, doors.makeGrading, chiefOnly, ({ grading, device }, request) =>
      desk.makeGrading(bearer(request), grading, device),
    );
    atDoor(hub, doors.gradings, chiefOnly, async (_, request) => {
      const mine = await desk.gradings(bearer(request));
      // What came in as a file has no maker yet; it is this hub's, and so its chief's.
      const made = await desk.made();
      const filed = (await store.gradings()).flatMap(({ grading }) =>
        made.has(grading) ? [] : [grading],
      );
      return { gradings: await pages.of([...mine, ...filed]) };
    });

    const testsChief = opensTo("test's chief");
    atDoor(hub, doors.code, testsChief, async ({ grading }) => ({
      code: await desk.code(grading),
      addresses: settings.addresses(),
    }));
    atDoor(hub, doors.newCode, testsChief, async ({ grading }) => ({
      code: await desk.newCode(grading),
      addresses: settings.addresses(),
    }));
  };
}
