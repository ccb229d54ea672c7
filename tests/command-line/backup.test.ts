import { execFile } from "node:child_process";
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import Database from "libsql";
import { beforeEach, describe, expect, it, vi } from "vitest";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { copyByCommand } from "../../src/command-line/copy-by-command.ts";
import { startHub } from "../../src/hub/main.ts";
import { storeHomeAt } from "../../src/hub/store/open-store.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { aHubFolder } from "./a-hub-folder.ts";
import { run } from "./run.ts";

const evenhand = fileURLToPath(new URL("../../src/command-line/evenhand.mjs", import.meta.url));
let folder: string;
let entries: number;

beforeEach(async () => {
  ({ folder, entries } = await aHubFolder());
});

const fingerprint = async (dataFolder: string) => {
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
  const told = hub.desk.fingerprint;
  await hub.close();
  return told;
};

describe("backup and restore", () => {
  it("[L13] bring a hub back in a new folder with every entry, its keys and its record sound", async () => {
    const known = await fingerprint(join(folder, "evenhand-data"));
    const exported = (await run(folder, ["export"])).out;
    expect(await run(folder, ["backup", "copy.sqlite"])).toMatchObject({
      code: 0,
      err: "",
      out: `1 belt test with ${entries} entries copied to copy.sqlite`,
    });
    expect((await run(folder, ["restore", "copy.sqlite", "--data", "new"])).code).toBe(0);
    expect((await run(folder, ["export", "--data", "new"])).out).toBe(exported);
    expect((await run(folder, ["verify", "--data", "new"])).code).toBe(0);
    expect(await fingerprint(join(folder, "new"))).toBe(known);
  });

  it.each([
    ["entries", "DROP TABLE entries"],
    ["sides", "ALTER TABLE sides RENAME TO s; CREATE VIEW sides AS SELECT * FROM s"],
    ["settings", "ALTER TABLE settings RENAME TO s"],
  ])(
    "[L130] refuse a copy in which %s is no table of ours any more, and bring nothing",
    async (table, sql) => {
      await fingerprint(join(folder, "evenhand-data"));
      await run(folder, ["backup", "copy.sqlite"]);
      const copy = new Database(join(folder, "copy.sqlite"));
      copy.exec(sql);
      copy.close();
      const { code, err } = await run(folder, ["restore", "copy.sqlite", "--data", "new"]);
      expect(code).toBe(2);
      expect(err).toContain(`“${table}” in it is not as this program makes it`);
      expect(existsSync(join(folder, "new", "evenhand.sqlite"))).toBe(false);
    },
  );

  it("[L13] leave the copy as it is, as on a stick that cannot be written to", async () => {
    await run(folder, ["backup", "copy.sqlite"]);
    chmodSync(join(folder, "copy.sqlite"), 0o444);
    const copy = readFileSync(join(folder, "copy.sqlite"));
    expect((await run(folder, ["restore", "copy.sqlite", "--data", "new"])).code).toBe(0);
    expect(readFileSync(join(folder, "copy.sqlite")).equals(copy)).toBe(true);
    expect(readdirSync(folder).filter((name) => name.startsWith("copy"))).toEqual(["copy.sqlite"]);
  });

  it("[L102] leaves the store that is there at its place where the backup cannot take it", async () => {
    await fingerprint(join(folder, "evenhand-data"));
    await run(folder, ["backup", "copy.sqlite"]);
    const there = (await run(folder, ["export"])).out;
    for (const [sql, said] of [
      [
        "DROP TABLE chiefs; CREATE TABLE chiefs (token_hash, device, person, since_ms); INSERT INTO chiefs VALUES (null, null, null, null)",
        "no sound copy",
      ],
      ["DELETE FROM settings WHERE name = 'private-key'", "own key"],
    ] as const) {
      copyFileSync(join(folder, "copy.sqlite"), join(folder, "spoilt.sqlite"));
      const database = new Database(join(folder, "spoilt.sqlite"));
      database.exec(sql);
      database.close();
      const ended = await run(folder, ["restore", "spoilt.sqlite", "--set-aside"]);
      expect(ended.code).toBe(2);
      expect(ended.err).toContain(said);
      expect(
        readdirSync(join(folder, "evenhand-data")).filter((name) =>
          /aside|brought|trial/.test(name),
        ),
      ).toEqual([]);
      expect((await run(folder, ["export"])).out).toBe(there);
    }
    // Where nothing is put away for it, the marks can be taken out.
    const alone = await run(folder, ["restore", "spoilt.sqlite", "--data", "empty"]);
    expect(alone).toMatchObject({ code: 0, err: expect.stringContaining("own key") });
    expect((await run(folder, ["export", "--data", "empty"])).code).toBe(0);
  });

  it("[L102] goes on where it was killed between the old store and the new one", async () => {
    const data = join(folder, "evenhand-data");
    const known = await fingerprint(data);
    renameSync(join(data, "evenhand.sqlite"), join(data, "evenhand.sqlite.brought"));
    expect(await fingerprint(data)).toBe(known);
    expect(readdirSync(data).filter((file) => file.includes("brought"))).toEqual([]);
  });

  it.each([1, 2, 3, 4])(
    "[L102] plays nothing of the old store into the new one, wherever the power went: after %i of its files were put aside",
    async (count) => {
      const data = join(folder, "evenhand-data");
      const path = join(data, "evenhand.sqlite");
      const old = await fingerprint(data);
      expect((await run(folder, ["backup", "copy.sqlite"])).code).toBe(0);
      renameSync(join(folder, "copy.sqlite"), `${path}.brought`);
      // The hub was killed: its last commits stand in the log alone.
      const killed = new Database(path);
      killed.pragma("wal_autocheckpoint = 0");
      killed.exec("CREATE TABLE last_commit (said TEXT); INSERT INTO last_commit VALUES ('kept')");
      const log = readFileSync(`${path}-wal`);
      killed.close();
      writeFileSync(`${path}-wal`, log);
      writeFileSync(`${path}-shm`, "");
      writeFileSync(`${path}-open`, "{}");
      const aside = `${path}.aside-20261129T100000000Z`;
      for (const part of ["", "-wal", "-shm", "-open"].slice(0, count))
        renameSync(`${path}${part}`, `${aside}${part}`);
      expect(await fingerprint(data)).toBe(old);
      const files = readdirSync(data);
      for (const part of ["", "-wal", "-open"])
        expect(files).toContain(`evenhand.sqlite.aside-20261129T100000000Z${part}`);
      expect(files.filter((file) => /sqlite-open|brought/.test(file))).toEqual([]);
      expect(readFileSync(`${aside}-wal`).equals(log)).toBe(true);
    },
  );

  it("[L102] keeps the log of a store that was put aside by a try that was cut off, also where it is tried again", async () => {
    const data = join(folder, "evenhand-data");
    const path = join(data, "evenhand.sqlite");
    expect((await run(folder, ["backup", "copy.sqlite"])).code).toBe(0);
    const aside = `${path}.aside-20261129T100000000Z`;
    renameSync(path, aside);
    writeFileSync(`${path}-wal`, "the last commits");
    const again = await run(folder, ["restore", "copy.sqlite", "--set-aside"]);
    expect(again).toMatchObject({ code: 0, out: expect.stringContaining("20261129T100000000Z") });
    expect(readFileSync(`${aside}-wal`, "utf8")).toBe("the last commits");
  });

  it("[L103] copies a store in which a test is damaged, and brings it back where it is asked to", async () => {
    const data = join(folder, "evenhand-data");
    const database = new Database(join(data, "evenhand.sqlite"));
    database.exec(
      `DROP TRIGGER entries_are_never_changed;
      UPDATE entries SET body = replace(body, '"n":3', '"n":4') WHERE seq = 3`,
    );
    database.close();
    const copy = join(folder, "copy.sqlite");
    expect(await copyByCommand(storeHomeAt({ dataFolder: data }, testBooks))(copy)).toBe("damaged");
    const said = await run(folder, ["restore", "copy.sqlite", "--data", "new"]);
    expect(said).toMatchObject({ code: 2, err: expect.stringContaining("--with-damaged") });
    const back = ["restore", "copy.sqlite", "--data", "new", "--with-damaged"];
    expect((await run(folder, back)).code).toBe(0);
    expect((await run(folder, ["verify", "--data", "new"])).code).toBe(1);
  });

  it("[L13] copies a hub at work, with what was acknowledged a moment ago", async () => {
    const dataFolder = join(folder, "at-work");
    mkdirSync(dataFolder);
    const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
    const device = "chief-tablet" as DeviceId;
    const chief = await hub.desk.makeChief(device);
    await hub.desk.makeGrading(chief.token, aGradingId, device);
    const { plan } = aTestDay();
    const room = await hub.rooms.room(aGradingId);
    await room.handIn({ person: "chief" as PersonId, roles: ["chief"], device }, plan);
    const copied = JSON.parse(
      (await run(folder, ["backup", "live.sqlite", "--data", "at-work", "--json"])).out,
    );
    expect(copied.sound).toBe(true);
    expect(copied.tests).toContainEqual({ test: aGradingId, entries: plan.length, sound: true });
    await hub.close();
  });

  it("[L17] a hub copies itself when its test is closed, and gives the copy to its chief alone", async () => {
    const dataFolder = join(folder, "by-itself");
    const copies = join(folder, "stick");
    const hub = await startHub({
      port: 0,
      host: "127.0.0.1",
      dataFolder,
      backups: {
        folder: copies,
        everyMinutes: 10,
        copy: copyByCommand(storeHomeAt({ dataFolder }, testBooks)),
      },
    });
    const device = "chief-tablet" as DeviceId;
    const chief = await hub.desk.makeChief(device);
    await hub.desk.makeGrading(chief.token, aGradingId, device);
    const { plan, chief: pen } = aTestDay();
    const room = await hub.rooms.room(aGradingId);
    const author = { person: "chief" as PersonId, roles: ["chief"] as const, device };
    const ask = (path: string, method = "GET", token: string = chief.token) =>
      fetch(`http://127.0.0.1:${hub.port}/api/backups${path}`, {
        method,
        headers: { authorization: `Bearer ${token}` },
      });
    await room.handIn(author, plan);
    expect(await (await ask("")).json()).toMatchObject({ backups: { kept: [], failed: null } });
    await room.handIn(author, [pen.write("closed", {})]);
    // Half a copy bears another name.
    await vi.waitFor(
      () => expect(readdirSync(copies)).toEqual([expect.stringMatching(/\.sqlite$/)]),
      15_000,
    );
    expect((await ask("", "POST")).status).toBe(200);
    expect((await ask("", "GET", "x".repeat(40))).status).toBe(401);
    expect((await ask("/newest", "GET", "x".repeat(40))).status).toBe(401);
    const taken = await ask("/newest");
    expect(taken.headers.get("cache-control")).toBe("no-store");
    writeFileSync(join(folder, "taken.sqlite"), Buffer.from(await taken.arrayBuffer()));
    // With the closing comes what the hub held of every judge.
    const { upTo } = room;
    await hub.close();
    expect((await run(folder, ["restore", "taken.sqlite", "--data", "again"])).out).toContain(
      `${upTo} entries`,
    );
  });

  it.each([
    ["flipped bytes", (bytes: Buffer) => bytes.fill(0xa5, 4096, 4096 + 600)],
    ["half of it gone", (bytes: Buffer) => bytes.subarray(0, Math.floor(bytes.length / 2))],
    ["no database at all", () => Buffer.from("not a database, and long enough to look at")],
  ])(
    "[L17] with %s, the hub names the newest copy that is sound and what puts it back",
    async (_, harm) => {
      const data = join(folder, "evenhand-data");
      const copies = join(data, "backups");
      mkdirSync(copies);
      await run(folder, ["backup", "evenhand-data/backups/evenhand-20260606T100000000Z.sqlite"]);
      writeFileSync(join(copies, "evenhand-20260606T110000000Z.sqlite"), "torn");
      const file = join(data, "evenhand.sqlite");
      // What lies in the log is written into the file first: of a torn file the log would bring back nearly all.
      const database = new Database(file);
      database.pragma("wal_checkpoint(TRUNCATE)");
      database.close();
      writeFileSync(file, harm(readFileSync(file)));
      const told = await promisify(execFile)(
        process.execPath,
        [evenhand, "serve", "--port", "0", "--data", "evenhand-data"],
        { cwd: folder, timeout: 15_000 },
      ).catch((error: { code: number; stderr: string }) => error);
      expect(told).toMatchObject({ code: 2 });
      expect(told.stderr).toMatch(/is damaged/);
      const [, command = ""] = /^ +evenhand (restore .+)$/m.exec(told.stderr) ?? [];
      expect(command).toContain("20260606T100000000Z.sqlite");
      const back = await run(folder, command.split(" "));
      expect(back.code).toBe(0);
      expect(back.out).toContain(`${entries} entries`);
      expect(readdirSync(data).filter((name) => name.includes(".aside-")).length).toBeGreaterThan(
        0,
      );
      expect((await run(folder, ["verify"])).code).toBe(0);
    },
  );

  it("never writes over a file, nor over a store", async () => {
    writeFileSync(join(folder, "taken.sqlite"), "mine");
    expect((await run(folder, ["backup", "taken.sqlite"])).err).toContain("is not overwritten");
    expect(readFileSync(join(folder, "taken.sqlite"), "utf8")).toBe("mine");
    await run(folder, ["backup", "copy.sqlite"]);
    const { code, err } = await run(folder, ["restore", "copy.sqlite"]);
    expect(code).toBe(2);
    expect(err).toContain("there is a hub's store in this folder already");
  });

  it("restores nothing from a file that is broken, cut short or no backup, and leaves nothing behind", async () => {
    await run(folder, ["backup", "copy.sqlite"]);
    const whole = readFileSync(join(folder, "copy.sqlite"));
    writeFileSync(join(folder, "cut.sqlite"), whole.subarray(0, whole.length >> 1));
    writeFileSync(
      join(folder, "other.sqlite"),
      "not a database at all, only some words".repeat(20),
    );
    const database = new Database(join(folder, "copy.sqlite"));
    database.exec(
      "DROP TRIGGER entries_are_never_changed; UPDATE entries SET body = '{}' WHERE seq = 3",
    );
    database.close();
    expect((await run(folder, ["restore", "copy.sqlite", "--data", "new"])).err).toContain(
      "the record of grading-1 in this backup is broken",
    );
    for (const name of ["cut.sqlite", "other.sqlite", "nowhere.sqlite"]) {
      const { code, err } = await run(folder, ["restore", name, "--data", "new"]);
      expect([name, code]).toEqual([name, 2]);
      expect(err).toContain(name);
    }
    expect(existsSync(join(folder, "new"))).toBe(false);
    expect(readdirSync(folder).filter((name) => name.endsWith(".part"))).toEqual([]);
  });
});
