import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it, vi } from "vitest";
import type { SideRecord } from "../../src/book/side-record.ts";
import { keepRetentionRule } from "../../src/hub/forgetting/retention-rule.ts";
import { openDatabase } from "../../src/hub/store/open-database.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aFolder, run } from "./run.ts";

/** The invented test that comes with the product, of 13 June 2026, as if its people were real. */
const demo = JSON.parse(
  readFileSync(new URL("../../demo-data/finished-test.json", import.meta.url), "utf8"),
) as { entries: { kind: string; body: object }[]; sides: SideRecord[] };
const entries = demo.entries.map((entry) =>
  entry.kind === "opened" ? { ...entry, body: { ...entry.body, example: false } } : entry,
);
const given = String(demo.sides.find(({ body }) => body.given)?.body.given);
const people = new Set(demo.sides.map(({ about }) => about)).size;

let folder: string;
beforeEach(async () => {
  folder = aFolder({ "book.json": { ...demo, entries } });
  await run(folder, ["import", "book.json"]);
});
/** Runs as if it were noon on that day. */
async function on(day: string, args: string[]) {
  vi.useFakeTimers({ now: Date.parse(`${day}T12:00Z`), toFake: ["Date"] });
  try {
    return await run(folder, args);
  } finally {
    vi.useRealTimers();
  }
}
const data = () => join(folder, "evenhand-data");

describe("erase --due", () => {
  it("[H50] finds nothing the day before, and on the day everybody, whom --dry-run leaves alone", async () => {
    const before = await on("2028-06-12", ["erase", "--due"]);
    expect(before).toMatchObject({ code: 0, err: "" });
    expect(before.out).toBe("No belt test here names anybody for longer than 24 months.");
    const dry = await on("2028-06-13", ["erase", "--due", "--dry-run"]);
    expect(dry.out).toMatch(
      new RegExp(`^would erase everybody of .+ \\(2026-06-13, .+due 2028-06-13: ${people} people`),
    );
    expect((await run(folder, ["export"])).out).toContain(given);
    expect(existsSync(join(data(), "erased.jsonl"))).toBe(false);
  });

  it("[H50] erases them, notes each, leaves no byte of a name and a sound record", async () => {
    const said = await on("2028-06-13", ["erase", "--due", "--json"]);
    expect(JSON.parse(said.out)).toMatchObject({
      erased: true,
      months: 24,
      tests: [{ date: "2026-06-13", due: "2028-06-13", people, records: demo.sides.length }],
    });
    const verified = JSON.parse((await run(folder, ["verify", "--json"])).out);
    expect(verified).toMatchObject({ sound: true });
    expect(verified.tests[0]).toMatchObject({ entries: entries.length + people });
    const noted = readFileSync(join(data(), "erased.jsonl"), "utf8").trim().split("\n");
    expect(noted.length).toBe(people);
    for (const file of readdirSync(data()))
      expect(readFileSync(join(data(), file)).toString("latin1")).not.toContain(given);
    const again = await on("2028-06-13", ["erase", "--due"]);
    expect(again.out).toMatch(/^No belt test/);
  });

  it("[H50] goes by the months that the chief chose, and by --test", async () => {
    const path = join(data(), "evenhand.sqlite");
    const database = openDatabase(path);
    await keepRetentionRule(sqliteDoorTables(database, path, testBooks), {
      months: 6,
      byItself: false,
    });
    database.close();
    const other = await on("2026-12-13", ["erase", "--due", "--dry-run", "--test", "another"]);
    expect(other.out).toMatch(/longer than 6 months/);
    const said = await on("2026-12-13", ["erase", "--due", "--dry-run"]);
    expect(said.out).toMatch(/^would erase everybody of/);
  });

  it("takes a name or --due, not both and not neither", async () => {
    expect((await run(folder, ["erase", given, "--due"])).code).toBe(2);
    expect((await run(folder, ["erase"])).err).toMatch(/or give --due/);
  });
});
