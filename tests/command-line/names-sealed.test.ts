import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "libsql";
import { beforeEach, describe, expect, it } from "vitest";
import type { ScorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { startHub } from "../../src/hub/main.ts";
import { madeOnce } from "./made-once.ts";
import { aFolder, run } from "./run.ts";

/** The invented test that comes with the product; nobody in it exists. */
const demo = JSON.parse(
  readFileSync(new URL("../../demo-data/finished-test.json", import.meta.url), "utf8"),
) as ScorebookFile;
const names = demo.sides.filter(({ body }) => body.given);
const [one, two] = names as [SideRecord, SideRecord];

const aDemoHub = madeOnce(async () => {
  const folder = aFolder({ "book.json": demo });
  const { code, err } = await run(folder, ["import", "book.json"]);
  expect(err).toBe("");
  expect(code).toBe(0);
  // A hub that was at work once has a key to sign with.
  const data = join(folder, "evenhand-data");
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: data });
  await hub.close();
  return folder;
});
let folder: string;
beforeEach(async () => {
  folder = await aDemoHub();
});

it("[L131] import and report say of a file without a hub's chain how many names are not those its lines speak of", async () => {
  const { chain: _, heads: __, ...rest } = demo;
  const other = JSON.parse(JSON.stringify(rest).replaceAll(demo.grading, "another-test"));
  writeFileSync(join(folder, "other.json"), JSON.stringify(other));
  const count = demo.sides.length;
  for (const command of ["import", "report"]) {
    const { out, err } = await run(folder, [command, "other.json"]);
    expect(`${out}${err}`.replace(/\s+/g, " ")).toContain(
      `${count} names and texts in the file are not those its entries speak of, and are left out.`,
    );
  }
  const { out } = await run(folder, ["import", "book.json"]);
  expect(out).not.toContain("left out");
});

type Change = (sides: SideRecord[]) => SideRecord[];
const replaced =
  (id: string, change: (side: SideRecord) => SideRecord): Change =>
  (sides) =>
    sides.map((side) => (side.id === id ? change(side) : side));
const changes: [what: string, why: string[], Change][] = [
  [
    "the bodies of two children exchanged",
    ["digest", "digest"],
    (sides) =>
      sides.map((side) =>
        side.id === one.id
          ? { ...side, body: two.body }
          : side.id === two.id
            ? { ...side, body: one.body }
            : side,
      ),
  ],
  [
    "a name changed",
    ["digest"],
    replaced(one.id, (side) => ({ ...side, body: { ...side.body, given: "Nobody" } })),
  ],
  [
    "a name filed under another child",
    ["about"],
    replaced(one.id, (side) => ({ ...side, about: two.about })),
  ],
  ["a name filed as a text", ["kind"], replaced(one.id, (side) => ({ ...side, kind: "text" }))],
  ["a name taken out", ["missing"], (sides) => sides.filter(({ id }) => id !== one.id)],
  [
    "a name put in",
    ["stray"],
    (sides) => [...sides, { ...one, id: "side-put-in" as SideRecord["id"] }],
  ],
];

/** What somebody does who has the database's file in hand. */
function rewritten(change: Change): void {
  const database = new Database(join(folder, "evenhand-data", "evenhand.sqlite"));
  const rows = database.prepare("SELECT record FROM sides").all() as { record: string }[];
  const sides = rows.map(({ record }) => JSON.parse(record) as SideRecord);
  database.exec("DELETE FROM sides");
  const insert = database.prepare("INSERT INTO sides (grading, id, record) VALUES (?, ?, ?)");
  for (const side of change(sides)) insert.run(demo.grading, side.id, JSON.stringify(side));
  database.close();
}

describe("names and texts beside the record", () => {
  it.each(changes)("[L60] verify names %s, in words and as data", async (_, why, change) => {
    expect((await run(folder, ["verify"])).code).toBe(0);
    rewritten(change);
    const { code, out } = await run(folder, ["verify", "--json"]);
    expect(code).toBe(1);
    const { sound, tests } = JSON.parse(out);
    expect(sound).toBe(false);
    expect(tests[0]).toMatchObject({ sound: false, broken: null });
    expect(tests[0].sides.map((found: { why: string }) => found.why)).toEqual(why);
    const said = await run(folder, ["verify"]);
    expect(said.code).toBe(1);
    expect(said.out.replace(/\s+/g, " ")).toContain("NOT as they were written");
    expect(said.out).not.toContain(": sound,");
  });

  it.each(changes.filter(([, [why]]) => why !== "missing"))(
    "[L60] a file that a hub signed is refused with %s",
    async (_, __, change) => {
      const file = JSON.parse((await run(folder, ["export"])).out) as ScorebookFile;
      writeFileSync(
        join(folder, "changed.json"),
        JSON.stringify({ ...file, sides: change(file.sides) }),
      );
      for (const args of [
        ["import", "changed.json", "--data", "new"],
        ["report", "changed.json"],
      ]) {
        const { code, err } = await run(folder, args);
        expect(code).toBe(2);
        expect(err).toMatch(/changed\.json.*sides\[\d+\]/s);
      }
    },
  );

  it("[L60] a file with two records under one id that say different things is refused, whichever comes first", async () => {
    const file = JSON.parse((await run(folder, ["export"])).out) as ScorebookFile;
    const right = file.sides.find(({ id }) => id === one.id) as SideRecord;
    const sides = [{ ...right, body: { given: "Smuggled" } }, ...file.sides];
    writeFileSync(join(folder, "twice.json"), JSON.stringify({ ...file, sides }));
    for (const args of [
      ["import", "twice.json", "--data", "new"],
      ["report", "twice.json"],
    ]) {
      const { code, err } = await run(folder, args);
      expect(code).toBe(2);
      expect(err).toMatch(/twice\.json.*sides\[\d+\]/s);
    }
  });

  it("[L60] export leaves out a record that cannot be read on the disk and names it, and the file says so where it is read", async () => {
    const database = new Database(join(folder, "evenhand-data", "evenhand.sqlite"));
    database.exec(`UPDATE sides SET record = 'X' || substr(record, 2) WHERE id = '${one.id}'`);
    database.close();
    const { code, out, err } = await run(folder, ["export"]);
    expect(code).toBe(1);
    expect(err).toContain(one.id);
    writeFileSync(join(folder, "less.json"), out);
    const taken = await run(folder, ["import", "less.json", "--data", "new"]);
    expect(taken.out).toContain("1 name or text that its entries speak of is not in the file");
  });

  it("[L60] of a signed file from which a name was taken out it is said", async () => {
    const file = JSON.parse((await run(folder, ["export"])).out) as ScorebookFile;
    const sides = file.sides.filter(({ id }) => id !== one.id);
    writeFileSync(join(folder, "less.json"), JSON.stringify({ ...file, sides }));
    const { code, out } = await run(folder, ["import", "less.json", "--data", "new"]);
    expect(code).toBe(0);
    expect(out).toContain("1 name or text that its entries speak of is not in the file");
  });

  it("[L60] a wrong name is not in a report, nor in an export; the file that has it right mends it", async () => {
    rewritten(replaced(one.id, (side) => ({ ...side, body: { given: "Smuggled" } })));
    const exported = (await run(folder, ["export"])).out;
    writeFileSync(join(folder, "wrong.json"), exported);
    expect((await run(folder, ["report", "wrong.json"])).code).toBe(2);
    const { chain: _, heads: __, ...unsigned } = JSON.parse(exported) as ScorebookFile;
    writeFileSync(join(folder, "unsigned.json"), JSON.stringify(unsigned));
    expect((await run(folder, ["report", "unsigned.json"])).out).not.toContain("Smuggled");
    const mended = await run(folder, ["import", "book.json"]);
    expect(mended.out).toContain("1 name or text that was not right here is as written again");
    expect((await run(folder, ["verify"])).code).toBe(0);
  });

  it("[L60] restore says of whom a backup has no right name, and brings the rest back", async () => {
    rewritten(replaced(one.id, (side) => ({ ...side, body: { given: "Smuggled" } })));
    const backup = await run(folder, ["backup", "copy.sqlite"]);
    expect(backup).toMatchObject({ code: 0 });
    expect(backup.out).toContain("broken already");
    const { code, err } = await run(folder, ["restore", "copy.sqlite", "--data", "new"]);
    expect(code).toBe(0);
    expect(err).toContain("1 name or text in this backup is not as written");
  });
});
