import { existsSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { copyByCommand } from "../../src/command-line/copy-by-command.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { hashOf } from "../../src/hub/seals/secrets.ts";
import { fillShared } from "../../src/hub/store/database-home.ts";
import { IS_COPY } from "../../src/hub/store/is-copy.ts";
import { openStore, storeHomeAt } from "../../src/hub/store/open-store.ts";
import { withoutPassword } from "../../src/hub/store/postgres-address.ts";
import { sqliteRows } from "../../src/hub/store/sqlite-rows.ts";
import type { HubStore } from "../../src/hub/store/store-home.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { type StoreRow, type StoreRows, tableNames } from "../../src/ports/store-rows.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aPostgresDatabase, runSql } from "../builders/a-postgres-database.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { aScorebookFile } from "./a-scorebook-file.ts";
import { aFolder, run } from "./run.ts";

let store: string;
let folder: string;
const { file } = aScorebookFile();
const running: RunningHub[] = [];
const opened: HubStore[] = [];
beforeEach(async () => {
  store = await aPostgresDatabase();
  folder = aFolder({ "book.json": file });
});
afterEach(async () => {
  for (const hub of running.splice(0)) await hub.close();
  for (const one of opened.splice(0)) await one.close();
});
const on = (command: string, ...args: string[]) =>
  run(folder, [command, ...args, "--store", store]);
const open = async (address: string) => {
  const one = await openStore(folder, address, testBooks);
  opened.push(one);
  return one;
};
/** A hub that holds a test, somebody at the door, a chief and a key. */
async function aUsedHub(more: Partial<Parameters<typeof startHub>[0]> = {}) {
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: folder, store, ...more });
  running.push(hub);
  const device = "chief-tablet" as DeviceId;
  const chief = await hub.desk.makeChief(device);
  await hub.desk.makeGrading(chief.token, aGradingId, device);
  const judge = { name: "Ines", person: "judge-1" as PersonId, roles: ["judge" as const] };
  await hub.desk.letIn(aGradingId, "judge-tablet" as DeviceId, judge as never);
  return { hub, chief, device };
}
async function all(rows: StoreRows): Promise<Record<string, StoreRow[]>> {
  const found: Record<string, StoreRow[]> = {};
  for (const table of tableNames) {
    found[table] = [];
    for await (const some of rows.of(table))
      found[table].push(...some.map((row) => JSON.parse(JSON.stringify(row))));
  }
  await rows.close();
  return found;
}

/** A copy says that it is one; whoever began from it knows, and says so no more. */
function withoutItsMark({ settings = [], ...tables }: Awaited<ReturnType<typeof all>>) {
  const others = settings.filter((row) => row.name !== IS_COPY);
  expect(others).toHaveLength(settings.length - 1);
  return { ...tables, settings: others };
}

describe("backup and restore of a database that hubs share", () => {
  it.each([
    ["a name that is no JSON", "UPDATE sides SET record = '{'", 0],
    ["a name about nobody", `UPDATE sides SET record = replace(record, '"about":', '"abouu":')`, 0],
    ["a NUL in a name", `UPDATE sides SET record = replace(record, '"body"', char(0))`, 0],
    ["a NUL at the door", "UPDATE devices SET name = 'a' || char(0) || 'b'", 0],
    ["a moment that is none", "UPDATE devices SET since_ms = 1.5", 2],
    ["a word for a moment", "UPDATE gradings SET made_at_ms = 'abc'", 2],
  ])(
    "[L127] a copy with %s comes back in a database too, or is refused in words",
    async (_, sql, code) => {
      await aUsedHub();
      await on("import", "book.json");
      await on("backup", "copy.sqlite");
      const copy = new Database(join(folder, "copy.sqlite"));
      copy.exec(sql);
      copy.close();
      const other = await aPostgresDatabase();
      const said = await run(folder, ["restore", "copy.sqlite", "--store", other]);
      expect(said.code).toBe(code);
      expect(said.err).not.toMatch(/\n\s+at /);
      if (code === 0) expect(said.out).toContain(`${file.entries.length} entries`);
      else {
        expect(said.err).toContain("no sound copy of a hub");
        expect(await runSql(other, "SELECT * FROM entries")).toEqual([]);
      }
    },
  );

  it("[L23] bring everything back in a folder and in another database, row for row", async () => {
    const { hub } = await aUsedHub();
    await on("import", "book.json");
    const { fingerprint } = hub.desk;
    expect(await on("backup", "copy.sqlite")).toMatchObject({
      code: 0,
      err: "",
      out: `1 belt test with ${file.entries.length} entries copied to copy.sqlite`,
    });
    expect(readdirSync(folder).filter((name) => name.startsWith("copy"))).toEqual(["copy.sqlite"]);
    const other = await aPostgresDatabase();
    const there = await run(folder, ["restore", "copy.sqlite", "--store", other]);
    expect(there).toMatchObject({ code: 0, err: "" });
    expect(there.out).toContain(`now in postgres://`);
    expect((await run(folder, ["restore", "copy.sqlite", "--data", "new"])).code).toBe(0);
    const before = await all(await (await open(store)).rows());
    expect(Object.keys(before).filter((table) => before[table]?.length === 0)).toEqual([]);
    for (const rows of [
      sqliteRows(join(folder, "new", "evenhand.sqlite")),
      await (await open(other)).rows(),
    ])
      expect(withoutItsMark(await all(rows))).toEqual(before);
    expect((await run(folder, ["verify", "--store", other])).code).toBe(0);
    for (const place of [{ store: other }, { dataFolder: join(folder, "new"), store: undefined }]) {
      const again = await startHub({ port: 0, host: "127.0.0.1", dataFolder: folder, ...place });
      running.push(again);
      expect(again.desk.fingerprint).toBe(fingerprint);
    }
  });

  it("[L23] move a hub from its folder into a database, and back", async () => {
    await run(folder, ["import", "book.json"]);
    const dataFolder = join(folder, "evenhand-data");
    const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
    await hub.close();
    await run(folder, ["backup", "first.sqlite"]);
    expect(await on("restore", "first.sqlite")).toMatchObject({ code: 0, err: "" });
    await on("backup", "second.sqlite");
    await run(folder, ["restore", "second.sqlite", "--data", "new"]);
    const before = await all(sqliteRows(join(dataFolder, "evenhand.sqlite")));
    expect(before.settings?.length).toBeGreaterThan(1);
    const after = await all(sqliteRows(join(folder, "new", "evenhand.sqlite")));
    expect(withoutItsMark(after)).toEqual(before);
  });

  it("[L23] copy one moment, whatever is written meanwhile, and so many rows at a time", async () => {
    const here = await open(store);
    const pen = aPen("judge-1");
    const marks = (count: number) => Array.from({ length: count }, () => aMark(pen));
    await here.store.append(aGradingId, marks(1200));
    const rows = await here.rows();
    await here.store.append(aGradingId, marks(1));
    const sizes: number[] = [];
    for await (const some of rows.of("entries")) {
      sizes.push(some.length);
      await here.store.append(aGradingId, marks(1), [
        {
          id: `side-${sizes.length}`,
          grading: aGradingId,
          about: "candidate-1",
          kind: "candidate",
          salt: "0".repeat(32),
          body: { given: "Ada" },
        } as never,
      ]);
    }
    expect(sizes.reduce((sum, size) => sum + size, 0)).toBe(1200);
    expect(Math.max(...sizes)).toBeLessThanOrEqual(500);
    expect((await all(rows)).sides).toEqual([]);
    expect((await on("backup", "later.sqlite")).out).toContain("1,204 entries");
  });

  it("[L23] restore into nothing that holds something, if only a hub's keys, and change nothing there", async () => {
    await on("import", "book.json");
    await on("backup", "copy.sqlite");
    const used = await on("restore", "copy.sqlite");
    expect(used.code).toBe(2);
    expect(used.err).toMatch(/holds belt tests or a hub's keys already, and nothing was restored/);
    expect(used.err).not.toContain(new URL(store).password);
    const keys = await aPostgresDatabase();
    const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: folder, store: keys });
    await hub.close();
    expect((await run(folder, ["restore", "copy.sqlite", "--store", keys])).code).toBe(2);
    expect(await runSql(keys, "SELECT count(*)::int AS entries FROM entries")).toEqual([
      { entries: 0 },
    ]);
    const aside = await on("restore", "copy.sqlite", "--set-aside");
    expect(aside.err).toContain("--set-aside is for a data folder");
  });

  it("[L23] leave one key, whoever comes first, where a hub is started at the same moment", async () => {
    const { hub } = await aUsedHub();
    await on("import", "book.json");
    await on("backup", "copy.sqlite");
    for (let round = 0; round < 4; round++) {
      const other = await aPostgresDatabase();
      const [started, said] = await Promise.all([
        startHub({ port: 0, host: "127.0.0.1", dataFolder: folder, store: other }),
        run(folder, ["restore", "copy.sqlite", "--store", other]),
      ]);
      running.push(started);
      const [kept] = await runSql(other, "SELECT value FROM settings WHERE name = 'public-key'");
      expect(started.desk.fingerprint).toBe(hashOf(String(kept?.value)));
      expect(started.desk.fingerprint === hub.desk.fingerprint).toBe(said.code === 0);
      const [held] = await runSql(other, "SELECT count(*)::int AS entries FROM entries");
      expect(held?.entries).toBe(said.code === 0 ? file.entries.length : 0);
    }
  });

  it("[L23] leave nothing behind where the file breaks off in the middle", async () => {
    await on("import", "book.json");
    await on("backup", "copy.sqlite");
    const other = await aPostgresDatabase();
    const rows = sqliteRows(join(folder, "copy.sqlite"));
    const torn: StoreRows = {
      async *of(table) {
        if (table === "sides") throw new Error("the stick was pulled out");
        yield* rows.of(table);
      },
      close: () => rows.close(),
    };
    await expect(fillShared(other, testBooks, torn)).rejects.toThrow("the stick was pulled out");
    await rows.close();
    expect((await run(folder, ["restore", "copy.sqlite", "--store", other])).code).toBe(0);
  });

  it("[L23] say so where the copy cannot be written, and leave no half of it", async () => {
    await on("import", "book.json");
    const { code, err } = await on("backup", "nowhere/copy.sqlite");
    expect(code).toBe(2);
    expect(err).toContain("nowhere");
    writeFileSync(join(folder, "taken.sqlite"), "mine");
    expect((await on("backup", "taken.sqlite")).err).toContain("is not overwritten");
  });

  it("[L17] a hub copies itself when its test is closed, and shows its password to nobody", async () => {
    const copies = join(folder, "stick");
    const { hub, chief, device } = await aUsedHub({
      backups: {
        folder: copies,
        everyMinutes: 10,
        copy: copyByCommand(storeHomeAt({ dataFolder: folder, address: store }, testBooks)),
      },
    });
    const { plan, chief: pen } = aTestDay();
    const room = await hub.rooms.room(aGradingId);
    const author = { person: "chief" as PersonId, roles: ["chief"] as const, device };
    await room.handIn(author, plan);
    expect(existsSync(copies)).toBe(false);
    await room.handIn(author, [pen.write("closed", {})]);
    // Half a copy bears another name.
    await vi.waitFor(
      () => expect(readdirSync(copies)).toEqual([expect.stringMatching(/\.sqlite$/)]),
      15_000,
    );
    const answer = await fetch(`http://127.0.0.1:${hub.port}/api/backups`, {
      headers: { authorization: `Bearer ${chief.token}` },
    });
    expect(await answer.json()).toMatchObject({ backups: { failed: null, kept: [{}] } });
    const [copy = ""] = readdirSync(copies);
    const restored = await run(folder, ["restore", join("stick", copy), "--data", "again"]);
    // The plan, the closing, and what the hub says beside it of whoever had not locked.
    expect(room.book.size).toBeGreaterThan(plan.length + 1);
    expect(restored.out).toContain(`${room.book.size} entries`);
    for (const address of [store, "postgres://hall@db/x?password=only-for-tests&sslmode=require"]) {
      const command = withoutPassword(address);
      expect(command.store).not.toContain("only-for-tests");
      expect(command.password).toBe("only-for-tests");
    }
  });
});
