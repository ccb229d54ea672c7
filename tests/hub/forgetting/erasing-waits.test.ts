import type { AddressInfo } from "node:net";
import Database from "libsql";
import { expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { type Fault, FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { buildHub } from "../../../src/hub/build-hub.ts";
import { FrontDesk } from "../../../src/hub/door/front-desk.ts";
import type { ErasedLog } from "../../../src/hub/store/erased-log.ts";
import { sqliteDoorTables } from "../../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { ATablet } from "../../builders/a-tablet.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { candidatesByName } from "../../builders/candidates-by-name.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

it("[H158] tells the chief on the line, and the terminal, that an erasing waits, and ends all the same", async () => {
  const full = (): never => {
    throw new FaultError({ code: "STORE_FULL", with: { file: "erased.jsonl" } });
  };
  const log = { note: full, noteAll: full, noteDevices: () => full, of: () => [], all: () => [] };
  const told: Fault[] = [];
  const store = openMemoryScorebook();
  const database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
  const hub = await buildHub({
    ...{ store, storeName: "memory", version: "0", desk },
    erasedLog: log as unknown as ErasedLog,
    onTrouble: (fault) => told.push(fault),
  });
  await hub.app.listen({ port: 0, host: "127.0.0.1" });
  const address = `http://127.0.0.1:${(hub.app.server.address() as AddressInfo).port}`;
  const { token } = await desk.makeChief("laptop" as DeviceId);
  await desk.makeGrading(token, aGradingId, "laptop" as DeviceId);
  const day = aTestDay();
  const { named, sides } = candidatesByName(day, ["candidate-1" as CandidateId]);
  await store.append(aGradingId, [...day.plan, ...named], sides);
  const device = "chief-2" as DeviceId;
  const as = { name: "Chief", person: "chief" as PersonId, roles: ["chief"] as ["chief"] };
  const { token: mine } = await desk.letIn(aGradingId, device, as);
  const tablet = await ATablet.join(address, { token: mine, grading: aGradingId, device });
  const pen = aPen("chief", device);
  pen.hear(1000);
  const erased = pen.write("erased", { about: "candidate-1" as PersonId });
  tablet.say({ frame: "append", entries: [erased], sides: [] });
  await tablet.until(() => tablet.frames("refuse").length > 0, "that it waits");
  expect(tablet.acknowledged).toEqual([erased.id]);
  expect(tablet.frames("refuse")).toMatchObject([{ id: null, fault: { code: "ERASED_WAITS" } }]);
  expect(told).toMatchObject([{ code: "ERASED_WAITS" }]);
  expect(await store.sides(aGradingId)).toHaveLength(sides.length);
  const begun = performance.now();
  await hub.app.close();
  expect(performance.now() - begun).toBeLessThan(5_000);
  database.close();
});
