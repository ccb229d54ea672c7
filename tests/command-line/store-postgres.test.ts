import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { GradingId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { scorebookTables } from "../../src/hub/store/postgres-scorebook.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aPostgresDatabase, runSql } from "../builders/a-postgres-database.ts";
import { aScorebookFile } from "./a-scorebook-file.ts";
import { aFolder, run } from "./run.ts";

/** The invented test that comes with the product; nobody in it exists. */
const demo = JSON.parse(
  readFileSync(new URL("../../demo-data/finished-test.json", import.meta.url), "utf8"),
) as { grading: GradingId; entries: object[]; sides: SideRecord[] };
const someone = demo.sides.find(({ body }) => body.given) as SideRecord;
const given = String(someone.body.given);
const rest = demo.sides.find(({ about, body }) => about === someone.about && body.family);
const name = `${given} ${rest?.body.family}`;

let store: string;
let folder: string;
const { file } = aScorebookFile();
const running: RunningHub[] = [];
beforeEach(async () => {
  store = await aPostgresDatabase();
  folder = aFolder({ "book.json": file, "demo.json": demo });
});
afterEach(async () => {
  for (const hub of running.splice(0)) await hub.close();
});
const on = (command: string, ...args: string[]) =>
  run(folder, [command, ...args, "--store", store]);
async function aHub(data = "hub-data") {
  const hub = await startHub({
    port: 0,
    host: "127.0.0.1",
    dataFolder: join(folder, data),
    store,
  });
  running.push(hub);
  return hub;
}
const verified = async (...args: string[]) =>
  JSON.parse((await on("verify", "--json", ...args)).out);

describe("commands over a database that hubs share", () => {
  it("[L20] import and export bring a scorebook in and out the same", async () => {
    const first = await on("import", "book.json");
    expect(first).toMatchObject({ code: 0, err: "" });
    expect(first.out).toContain(`grading-1: ${file.entries.length} new entries`);
    const again = await on("import", "book.json", "--json");
    expect(JSON.parse(again.out)).toMatchObject({ added: 0, known: file.entries.length });
    expect(JSON.parse((await on("export")).out)).toEqual(file);
  });

  it.each([
    [
      "evil",
      "CREATE TRIGGER evil BEFORE INSERT ON entries FOR EACH ROW EXECUTE FUNCTION entries_stay()",
    ],
    ["rule", "CREATE RULE rule AS ON INSERT TO sides DO INSTEAD NOTHING"],
    ["policy", "CREATE POLICY policy ON settings"],
    ["sides", "ALTER TABLE sides RENAME TO s; CREATE VIEW sides AS SELECT * FROM s"],
    ["more", "CREATE TABLE more (entry text)"],
    ["child", "CREATE SCHEMA other; CREATE TABLE other.child () INHERITS (entries)"],
    ["view", "CREATE MATERIALIZED VIEW view AS SELECT 1"],
  ])(
    "[L125] a database with something of somebody else's (%s) is named and refused, at the start and by verify",
    async (what, sql) => {
      await on("import", "book.json");
      await runSql(store, sql);
      for (const command of ["verify", "export"]) {
        const { code, err } = await on(command);
        expect(code).toBe(2);
        expect(err).toMatch(new RegExp(`“(${what}|s)” in it is not as this program makes it`));
      }
      await expect(aHub()).rejects.toThrow(/STORE_DAMAGED/);
    },
  );

  it("[L125] a table in parts, and what belongs to an extension, are no strangers", async () => {
    await runSql(
      store,
      `${scorebookTables(testBooks)[0]} PARTITION BY HASH (grading);
       CREATE TABLE part PARTITION OF entries FOR VALUES WITH (MODULUS 1, REMAINDER 0);
       CREATE TABLE plan (of text); ALTER EXTENSION plpgsql ADD TABLE plan`,
    );
    await on("import", "book.json");
    await runSql(store, "CREATE INDEX mine ON entries (device)");
    expect((await on("verify")).code).toBe(0);
  });

  it("[L20] verify finds a record sound, and names the first entry that somebody changed by hand", async () => {
    await on("import", "book.json");
    await on("import", "demo.json");
    const { sound, tests } = await verified();
    expect(sound).toBe(true);
    expect(
      tests.map(({ test, entries }: { test: string; entries: number }) => [test, entries]),
    ).toEqual(
      [
        ["grading-1", file.entries.length],
        [demo.grading, demo.entries.length],
      ].toSorted(),
    );
    await runSql(
      store,
      `ALTER TABLE entries DISABLE TRIGGER USER;
        UPDATE entries SET body = replace(body, '"lamport":', '"lamport":1') WHERE seq = 4 AND grading = 'grading-1'`,
    );
    const after = await on("verify", "grading-1");
    expect(after.code).toBe(1);
    expect(after.out).toContain("BROKEN at entry 4 of ");
    expect((await on("verify", demo.grading)).code).toBe(0);
  });

  it("[L20] reading a database that no hub has used makes nothing in it, and says so without the password", async () => {
    for (const command of ["verify", "export"]) {
      const { code, err } = await on(command);
      expect([command, code]).toEqual([command, 2]);
      expect(err).toContain("there is no hub's store in this database");
      expect(err).toContain(new URL(store).pathname);
      expect(err).not.toContain(new URL(store).password);
    }
    expect(await runSql(store, "SELECT to_regclass('entries') AS entries")).toEqual([
      { entries: null },
    ]);
    const wrong = new URL(store);
    wrong.password = "topsecret";
    for (const address of [wrong.href, "mysql://hall:topsecret@db/x"]) {
      const { code, err } = await run(folder, ["verify", "--store", address]);
      expect(code).toBe(2);
      expect(err).toMatch(/password is wrong|--store needs an address/);
      expect(err).not.toContain("topsecret");
    }
  });

  it("[L20] a hub at work shows what was imported, and forgets whom a command erases", async () => {
    const hub = await aHub();
    await on("import", "demo.json");
    const room = await hub.rooms.room(demo.grading);
    expect(room.upTo).toBe(demo.entries.length);
    expect(room.side(someone.id)?.body.given).toBe(given);
    const said = await on("erase", name);
    expect(said).toMatchObject({ code: 0, err: "" });
    expect(said.out).toMatch(/^erased .+ from [\w-]+: \d+ records?/);
    await vi.waitFor(() => expect(room.side(someone.id)).toBeUndefined(), 10_000);
    expect(room.book.erased.has(someone.about)).toBe(true);
    // Noted where the command ran and where the hub runs: a copy put back at either brings nobody back.
    for (const data of ["evenhand-data", "hub-data"])
      await vi.waitFor(
        () =>
          expect(readFileSync(join(folder, data, "erased.jsonl"), "utf8")).toContain(someone.about),
        10_000,
      );
    expect((await on("export", demo.grading)).out).not.toContain(given);
    const { sound, tests } = await verified();
    expect(sound).toBe(true);
    expect(tests[0].gone).toBeGreaterThan(0);
    expect((await on("import", "demo.json")).code).toBe(0);
    expect((await on("export", demo.grading)).out).not.toContain(given);
  });

  it("[L20] two erasings in the same moment are both written, each once", async () => {
    await on("import", "demo.json");
    const people = [...new Set(demo.sides.map(({ about }) => about as string))].slice(0, 4);
    const said = await Promise.all(people.map((about) => on("erase", about)));
    expect(said.map(({ code }) => code)).toEqual(people.map(() => 0));
    const book = JSON.parse((await on("export")).out);
    const erased = book.entries.filter(({ kind }: { kind: string }) => kind === "erased");
    expect(erased.map(({ body }: { body: { about: string } }) => body.about).toSorted()).toEqual(
      people.toSorted(),
    );
    expect(book.sides.filter(({ about }: SideRecord) => people.includes(about))).toEqual([]);
  });

  it("[L20] nothing is taken of a file that clashes with what is there", async () => {
    await on("import", "book.json");
    const changed = structuredClone(file);
    changed.entries[2].at += 1;
    writeFileSync(join(folder, "changed.json"), JSON.stringify(changed));
    const { code, err } = await on("import", "changed.json");
    expect(code).toBe(2);
    expect(err).toContain("changed.json, entries[2].id: another entry has the same id");
    expect((await verified(aGradingId)).tests[0].entries).toBe(file.entries.length);
  });
});
