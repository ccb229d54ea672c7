import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import Database from "libsql";
import { beforeEach, expect, it } from "vitest";
import type { DeviceId } from "../../src/book/identity.ts";
import { wayForward } from "../../src/command-line/way-forward.ts";
import { startHub } from "../../src/hub/main.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aHubFolder } from "./a-hub-folder.ts";
import { run } from "./run.ts";

let folder: string;
let entries: number;
const data = () => join(folder, "evenhand-data");

/** A hub that has been at work, and one letter of its key that is another now. */
beforeEach(async () => {
  ({ folder, entries } = await aHubFolder());
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: data() });
  await hub.close();
});
function damages(which: "private-key" | "public-key"): void {
  const database = new Database(join(data(), "evenhand.sqlite"));
  const { value } = database.prepare("SELECT value FROM settings WHERE name = ?").get(which) as {
    value: string;
  };
  const lines = value.split("\n");
  const letter = lines[1]?.at(-6);
  lines[1] = `${lines[1]?.slice(0, -6)}${letter === "A" ? "B" : "A"}${lines[1]?.slice(-5)}`;
  database.prepare("UPDATE settings SET value = ? WHERE name = ?").run(lines.join("\n"), which);
  database.close();
}

it("[H155] whose key is gone makes itself no other beside the tests that it let people into", async () => {
  const start = () => startHub({ port: 0, host: "127.0.0.1", dataFolder: data() });
  const change = (sql: string) => {
    const database = new Database(join(data(), "evenhand.sqlite"));
    database.exec(sql);
    database.close();
  };
  const gone = "DELETE FROM settings WHERE name IN ('private-key', 'public-key')";
  // Of a store that only a file came into nobody knows a key.
  change(gone);
  const hub = await start();
  const chief = await hub.desk.makeChief("hub-chief" as DeviceId);
  await hub.desk.makeGrading(chief.token, aGradingId, "hub-chief" as DeviceId);
  await hub.close();
  await run(folder, ["backup", "sound.sqlite"]);
  change(gone);
  await expect(start()).rejects.toThrow(/KEY_DAMAGED/);
  const checked = await run(folder, ["verify"]);
  expect([checked.code, checked.out]).toEqual([1, expect.stringMatching(/own\s+key/)]);
  const taken = await run(folder, ["export"]);
  expect([taken.code, taken.err]).toEqual([0, expect.stringMatching(/own\s+key/)]);
  const place = { dataFolder: data(), address: undefined };
  const copies = join(data(), "backups");
  const copy = join("evenhand-data", "backups", "evenhand-20260606T100000000Z.sqlite");
  mkdirSync(copies);
  expect(await run(folder, ["backup", copy])).toMatchObject({ code: 0 });
  expect(await wayForward(place, copies, folder)).toMatch(/no copy that is sound/);
  const back = await run(folder, ["restore", "sound.sqlite", "--set-aside"]);
  expect(back).toMatchObject({ code: 0 });
  await (await start()).close();
});

it.each(["private-key", "public-key"] as const)(
  "[H155] with a damaged %s the marks can be taken out, into a new folder, and no copy with the same damage is offered",
  async (which) => {
    await run(folder, ["backup", "sound.sqlite"]);
    damages(which);
    const copies = join(data(), "backups");
    mkdirSync(copies);
    const copy = join("evenhand-data", "backups", "evenhand-20260606T100000000Z.sqlite");
    expect(await run(folder, ["backup", copy])).toMatchObject({ code: 0 });
    const place = { dataFolder: data(), address: undefined };
    expect(await wayForward(place, copies, folder)).toMatch(/no copy that is sound/);
    const checked = await run(folder, ["verify"]);
    expect([checked.code, checked.out]).toEqual([1, expect.stringMatching(/own\s+key/)]);
    const taken = await run(folder, ["export", "--out", "out.json"]);
    expect([taken.code, taken.err]).toEqual([0, expect.stringMatching(/own\s+key/)]);
    const brought = await run(folder, ["import", "out.json", "--data", "new"]);
    expect(brought.code).toBe(0);
    const again = await run(folder, ["export", "--data", "new"]);
    expect(JSON.parse(again.out).entries).toHaveLength(entries);
    expect(JSON.parse(readFileSync(join(folder, "out.json"), "utf8")).heads ?? []).toEqual([]);
  },
);
