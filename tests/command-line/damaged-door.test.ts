import { join } from "node:path";
import Database from "libsql";
import { expect, it } from "vitest";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { startHub } from "../../src/hub/main.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aHubFolder } from "./a-hub-folder.ts";
import { run } from "./run.ts";

it("[H185] verify names the tablet whose row of the door cannot be read, and reads the record all the same", async () => {
  const { folder, entries } = await aHubFolder();
  const dataFolder = join(folder, "evenhand-data");
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
  const chief = await hub.desk.makeChief("hub-chief" as DeviceId);
  await hub.desk.makeGrading(chief.token, aGradingId, "hub-chief" as DeviceId);
  const as = { name: "Ada", person: "judge-1" as PersonId, roles: ["judge"] } as const;
  await hub.desk.letIn(aGradingId, "tablet-1" as DeviceId, as);
  await hub.close();
  expect((await run(folder, ["verify"])).code).toBe(0);
  const database = new Database(join(dataFolder, "evenhand.sqlite"));
  database.exec("UPDATE devices SET since_ms = 'soon' WHERE device = 'tablet-1'");
  database.close();
  const { code, out } = await run(folder, ["verify"]);
  expect([code, out]).toEqual([1, expect.stringContaining(`sound, ${entries} entries`)]);
  expect(out).toMatch(/tablet\s+tablet-1\s+at\s+the\s+door\s+is\s+damaged/);
  const { atDoor } = JSON.parse((await run(folder, ["verify", "--json"])).out);
  expect(atDoor).toEqual([{ test: aGradingId, device: "tablet-1" }]);
});
