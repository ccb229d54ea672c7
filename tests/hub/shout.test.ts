import type { AddressInfo } from "node:net";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { FaultError } from "../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { buildHub, type Hub } from "../../src/hub/build-hub.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { ATablet } from "../builders/a-tablet.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

let hub: Hub;
let database: Database.Database;
let isFull = false;
const day = aTestDay();
beforeEach(async () => {
  isFull = false;
  database = new Database(":memory:");
  const store = openMemoryScorebook();
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
  hub = await buildHub({
    store: {
      ...store,
      append: (...given) =>
        isFull ? Promise.reject(new FaultError({ code: "STORE_FULL" })) : store.append(...given),
    },
    storeName: "memory",
    version: "0",
    desk,
  });
  await hub.app.listen({ port: 0, host: "127.0.0.1" });
  const chief = await desk.makeChief("laptop" as DeviceId);
  await desk.makeGrading(chief.token, aGradingId, "laptop" as DeviceId);
  await store.append(aGradingId, day.plan);
});
afterEach(async () => {
  await hub.app.close();
  database.close();
});

async function tablet(person: string, roles: [Role]): Promise<ATablet> {
  const device = `${person}-tablet` as DeviceId;
  const as = { name: person, person: person as PersonId, roles };
  const { token } = await hub.desk.letIn(aGradingId, device, as);
  const { port } = hub.app.server.address() as AddressInfo;
  const who = { token, grading: aGradingId, device };
  const line = await ATablet.join(`http://127.0.0.1:${port}`, who);
  await line.until(() => line.frames("welcome").length > 0, "a welcome");
  return line;
}
const penOf = (person: string) => {
  const pen = aPen(person);
  pen.hear(1000);
  return pen;
};
const floors = (line: ATablet) => line.frames("floor").map(({ floor }) => floor);

describe("a stop", () => {
  it("[Y42] is heard by everybody where the hub's disk is full, by whoever comes later too, and is not acknowledged", async () => {
    const judge = await tablet("judge-1", ["judge"]);
    const caller = await tablet("caller", ["caller"]);
    const stop = penOf("judge-1").write("stopped", { wave: 1 });
    isFull = true;
    judge.append(stop);
    await caller.until(() => floors(caller).length === 1, "the stop");
    expect(floors(caller)[0]).toMatchObject({ stopped: true, entry: stop.id, by: "judge-1" });
    const late = await tablet("desk", ["desk"]);
    await late.until(() => floors(late).length === 1, "the stop");
    expect(judge.acknowledged).toEqual([]);
    // That the floor is clear is heard too, and ends it for whoever comes now.
    const pen = penOf("caller");
    pen.hear(stop.lamport);
    caller.append(pen.write("floor-cleared", {}));
    await late.until(() => floors(late).at(-1)?.stopped === false, "the all-clear");
    // The disk has room again: the entry follows, is acknowledged, and is shouted no second time.
    isFull = false;
    const again = await tablet("judge-1", ["judge"]);
    again.append(stop);
    await again.until(() => again.acknowledged.includes(stop.id), "the entry");
    expect(floors(late)).toHaveLength(2);
  });

  it("[Y211] is told to everybody where the floor was cleared of another meanwhile, by whoever is further on", async () => {
    const caller = await tablet("caller", ["caller"]);
    const desk = await tablet("desk", ["desk"]);
    const heard = penOf("desk").write("stopped", { wave: 1 });
    desk.append(heard);
    await caller.until(() => floors(caller).length === 1, "the first stop");
    const pen = penOf("caller");
    pen.hear(heard.lamport + 20);
    const clear = pen.write("floor-cleared", { stops: [heard.id] });
    caller.append(clear);
    await desk.until(() => floors(desk).length === 1, "the all-clear");
    expect(floors(desk)[0]).toMatchObject({ stopped: false, stops: [heard.id] });
    const judge = await tablet("judge-1", ["judge"]);
    const stop = penOf("judge-1").write("stopped", { wave: 1, alone: true });
    judge.append(stop);
    await desk.until(() => floors(desk).length === 2, "the stop");
    expect(floors(desk)[1]).toMatchObject({ stopped: true, entry: stop.id, by: "judge-1" });
    // And stands: a stop that somebody cleared with no hub in reach takes nothing of it away, nor is it told.
    const own = pen.write("stopped", { wave: 1, alone: true });
    const over = pen.write("floor-cleared", { stops: [own.id] });
    caller.append(own, over);
    await caller.until(() => caller.acknowledged.includes(over.id), "the own stop");
    expect(floors(desk)).toHaveLength(2);
    await judge.until(() => judge.acknowledged.includes(stop.id), "the stop");
    const { floor } = fold(caller.entries);
    expect(floor.stop).toMatchObject({ stopped: true, by: "judge-1" });
  });

  it("[Y211] is heard beside another that is kept nowhere, by whoever comes later too, until it is cleared itself", async () => {
    const judge = await tablet("judge-1", ["judge"]);
    const desk = await tablet("desk", ["desk"]);
    const caller = await tablet("caller", ["caller"]);
    const newer = penOf("desk");
    newer.hear(1050);
    const stops = [
      newer.write("stopped", { wave: 1 }),
      penOf("judge-1").write("stopped", { wave: 1 }),
    ];
    desk.say({ frame: "floor", entry: stops[0] });
    await judge.until(() => floors(judge).length === 1, "the first stop");
    judge.say({ frame: "floor", entry: stops[1] });
    await caller.until(() => floors(caller).length === 2, "both stops");
    const pen = penOf("caller");
    pen.hear(1100);
    const clear = pen.write("floor-cleared", { stops: [stops[0]?.id as never] });
    caller.say({ frame: "floor", entry: clear });
    await judge.until(() => floors(judge).length === 2, "the all-clear");
    const late = await tablet("chief-2", ["chief"]);
    await late.until(() => floors(late).length === 2, "what still stands");
    expect(floors(late)).toMatchObject([
      { stopped: true, entry: stops[1]?.id },
      { stopped: false, stops: [stops[0]?.id] },
    ]);
  });

  it.each(["incident first", "shout first"])(
    "[Y217] is told to everybody, by whoever comes later too, where another line bears its id: %s",
    async (order) => {
      const judge = await tablet("judge-1", ["judge"]);
      const desk = await tablet("desk", ["desk"]);
      const stop = penOf("judge-1").write("stopped", { wave: 1 });
      const text = { id: "text-1", digest: "0".repeat(64) };
      const incident = { ...stop, kind: "incident", body: { text } };
      const shout = async () => {
        judge.say({ frame: "floor", entry: stop });
        await desk.until(() => floors(desk).length === 1, "the stop");
      };
      if (order === "shout first") await shout();
      judge.append(incident);
      await judge.until(() => judge.acknowledged.includes(stop.id), "the incident");
      if (order === "incident first") await shout();
      const late = await tablet("chief-2", ["chief"]);
      await late.until(() => floors(late).length === 1, "what still stands");
      const pen = penOf("caller");
      const caller = await tablet("caller", ["caller"]);
      caller.append(pen.write("floor-cleared", { stops: [stop.id] }));
      await desk.until(() => floors(desk).length === 2, "the all-clear");
      const after = await tablet("chief-3", ["chief"]);
      after.say({ frame: "ping" });
      await after.until(() => after.frames("pong").length === 1, "an answer");
      expect(floors(after)).toEqual([]);
    },
  );

  it("[Y42] comes as a word of its own from a tablet that cannot write it down", async () => {
    const judge = await tablet("judge-1", ["judge"]);
    const chief = await tablet("chief-2", ["chief"]);
    const stop = penOf("judge-1").write("stopped", { wave: 1 });
    judge.say({ frame: "floor", entry: stop });
    await chief.until(() => floors(chief).length === 1, "the stop");
    expect(judge.acknowledged).toEqual([]);
  });

  it("[Y42] of somebody else, an old one, and a judge's all-clear are told to nobody", async () => {
    const chief = await tablet("chief-2", ["chief"]);
    const judge = await tablet("judge-1", ["judge"]);
    const pen = penOf("chief-2");
    const old = penOf("judge-1").write("stopped", { wave: 1 });
    pen.hear(old.lamport);
    const clear = pen.write("floor-cleared", {});
    chief.append(clear);
    await chief.until(() => chief.acknowledged.includes(clear.id), "the all-clear");
    await judge.until(() => floors(judge).length === 1, "the all-clear");
    const ahead = { ...old, lamport: 2 ** 40 };
    const theirs = penOf("judge-2");
    theirs.hear(5000);
    const own = penOf("judge-1");
    own.hear(6000);
    for (const entry of [
      old,
      ahead,
      theirs.write("stopped", { wave: 1 }),
      own.write("floor-cleared", {}),
      null,
      7,
    ])
      judge.say({ frame: "floor", entry });
    judge.say({ frame: "ping" });
    await judge.until(() => judge.frames("pong").length === 1, "an answer");
    expect(floors(chief)).toEqual([]);
  });

  it.each([
    [true, true],
    [undefined, undefined],
    ["nonsense", undefined],
  ])("[Y162] tells with a stop that it was written without a hub: %s", async (alone, told) => {
    const desk = await tablet("desk", ["desk"]);
    const judge = await tablet("judge-1", ["judge"]);
    const stop = penOf("desk").write("stopped", { wave: 1 });
    const body = alone === undefined ? stop.body : { ...stop.body, alone };
    desk.say({ frame: "floor", entry: { ...stop, body } });
    await judge.until(() => floors(judge).length > 0, "the stop");
    expect(floors(judge)[0]).toMatchObject({ stopped: true, entry: stop.id });
    expect(floors(judge)[0]?.alone).toBe(told);
  });
});
