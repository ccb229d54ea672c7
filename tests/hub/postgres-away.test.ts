import { afterEach, describe, expect, it } from "vitest";
import { AHub } from "../builders/a-hub.ts";
import { APostgres } from "../builders/a-postgres.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";

let server: APostgres | undefined;
let hub: AHub | undefined;
afterEach(async () => {
  await server?.startAgain().catch(() => undefined);
  await hub?.end();
  await server?.stop();
});

describe("a PostgreSQL that is restarted under a running hub", () => {
  it("[H26] has everybody hang up and come back, with everything that was acknowledged", async () => {
    server = await APostgres.start();
    hub = await AHub.start({ store: await server.database("hall") });
    const { plan, judges } = aTestDay({ judges: 1 });
    const pen = judges[0]?.pen;
    if (!pen) throw new Error("a judge");
    const chief = await hub.tablet("chief", ["chief"]);
    chief.append(...plan);
    await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
    const judge = await hub.tablet("judge-1", ["judge"]);
    const marks = Array.from({ length: 40 }, () => aMark(pen));
    for (const mark of marks.slice(0, 20)) judge.append(mark);
    await judge.until(() => judge.acknowledged.length > 0, "a first acknowledgement");
    await server.halt();
    await judge.until(() => judge.isClosed, "the end of the line");
    expect(judge.closeCode).toBe(1013);
    expect(judge.frames("bye")).toEqual([]);
    const away = await hub.tablet("judge-1", ["judge"]);
    expect([away.closeCode, away.frames("bye")]).toEqual([1013, []]);
    const health = await fetch(`${hub.address}/health`);
    expect([health.status, await health.json()]).toMatchObject([
      503,
      { code: "STORE_UNREACHABLE" },
    ]);

    await server.startAgain();
    const who = { device: "judge-1-tablet" };
    for (;;) {
      const back = await hub.tablet("judge-1", ["judge"], who);
      if (back.frames("welcome").length === 0) {
        await new Promise((done) => setTimeout(done, 100));
        continue;
      }
      for (const mark of marks) back.append(mark);
      await back.until(() => new Set(back.acknowledged).size === marks.length, "all marks");
      break;
    }
    const again = await hub.tablet("judge-1", ["judge"], { device: "judge-1-spare" });
    await again.until(() => again.entries.length === plan.length + marks.length, "the whole feed");
    expect(again.ids.slice(plan.length)).toEqual(marks.map(({ id }) => id));
  });
});
