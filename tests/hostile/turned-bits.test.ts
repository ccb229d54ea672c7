import { spawnSync } from "node:child_process";
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "libsql";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import { openDatabase } from "../../src/hub/store/open-database.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { sqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { tryDatabase } from "../../src/hub/store/try-database.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { served } from "./turned-bits.ts";

/** The invented test that comes with the product. */
const demo = JSON.parse(
  readFileSync(new URL("../../demo-data/finished-test.json", import.meta.url), "utf8"),
);
const SEED = Number(process.env.SEED ?? 9);
const RANDOM = 100;
const PAGE = 4096;

let folder: string;
let path: string;
let bytes: Buffer;
let chance: () => number;
const below = (most: number): number => Math.floor(chance() * most);

beforeAll(async () => {
  const generator = xoroshiro128plus(SEED);
  chance = () => (generator.next() >>> 0) / 2 ** 32;
  folder = mkdtempSync(join(tmpdir(), "evenhand-bits-"));
  path = join(folder, "sound.sqlite");
  const database = openDatabase(path);
  const store = sqliteScorebook(database, path, testBooks);
  const door = sqliteDoorTables(database, path, testBooks);
  const grading = demo.grading as GradingId;
  await store.append(grading, demo.entries.slice(0, 900), demo.sides);
  for (const person of ["one", "two", "three"])
    await door.keepDevice({
      grading,
      device: `${person}-tablet` as DeviceId,
      name: person,
      wants: "judge",
      state: "admitted",
      person: person as PersonId,
      roles: ["judge"],
      tokenHash: person.padEnd(64, "0"),
      address: "192.0.2.1",
      sinceMs: 0,
    });
  await store.close();
  bytes = readFileSync(path);
  const whole = await served(path);
  // Of a book cut short, some texts belong to entries that are not there: those are named, and not what this is about.
  expect(whole.lines[grading]?.length).toBe(900);
  expect(whole.named).toEqual([]);
  writeFileSync(join(folder, "truth.json"), JSON.stringify(whole));
  bytes = readFileSync(path);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A copy of the store with one bit turned over. */
function turned(at: number, bit: number, name: string): string {
  const file = join(folder, `${name}.sqlite`);
  const copy = Buffer.from(bytes);
  copy[at] = (copy[at] ?? 0) ^ (1 << bit);
  writeFileSync(file, copy);
  return file;
}

/** How each came out, read by a process of its own; one that ends it is refused by the trial before the start. */
function verdicts(files: readonly string[]): Map<string, string> {
  const found = new Map<string, string>();
  const script = new URL("turned-bits.ts", import.meta.url).href;
  let waiting = [...files];
  while (waiting.length > 0) {
    const run = `const { judge } = await import(${JSON.stringify(script)}); await judge(${JSON.stringify(join(folder, "truth.json"))}, ${JSON.stringify(waiting)});`;
    const { stdout } = spawnSync(
      process.execPath,
      ["--import", "tsx", "--input-type=module", "-e", run],
      { encoding: "utf8" },
    );
    for (const line of stdout.split("\n").filter(Boolean)) {
      const [file = "", ...said] = line.split(" ");
      found.set(file, said.join(" ").trim() || "aborted");
    }
    const left = waiting.filter((file) => !found.has(file));
    if (left.length === waiting.length) throw new Error(`turned-bits: nothing was read: ${stdout}`);
    waiting = left;
  }
  return found;
}

/** Where a text stands in the file, each time. */
function placesOf(text: string): number[] {
  const found: number[] = [];
  for (let at = bytes.indexOf(text); at >= 0; at = bytes.indexOf(text, at + 1)) found.push(at);
  return found;
}
const pick = <T>(from: readonly T[]): T => from[below(from.length)] as T;

/** Ten places each: in a level, a name, an index, a link of the chain, the head of a page. */
function aimed(): [at: number, bit: number][] {
  const database = new Database(path);
  const roots = database
    .prepare("SELECT rootpage FROM sqlite_master WHERE type = 'index'")
    .all() as { rootpage: number }[];
  const links = database.prepare("SELECT chain FROM entries").all() as { chain: string }[];
  database.close();
  const levels = placesOf('"level":').map((at) => at + '"level":'.length);
  const names = demo.sides.flatMap(({ body }: { body: { given?: string } }) =>
    body.given ? placesOf(`"given":"${body.given}"`).map((at) => at + '"given":"'.length) : [],
  );
  const pages = Math.floor(bytes.length / PAGE);
  const ten = Array.from({ length: 10 });
  return [
    // The lowest bits: one level becomes another, one letter another.
    ...ten.map((): [number, number] => [pick(levels), below(3)]),
    ...ten.map((): [number, number] => [pick(names) as number, below(5)]),
    ...ten.map((): [number, number] => [(pick(roots).rootpage - 1) * PAGE + below(PAGE), below(8)]),
    ...ten.map((): [number, number] => [pick(placesOf(pick(links).chain)) + below(64), below(4)]),
    ...ten.map((): [number, number] => {
      const page = below(pages);
      return [page * PAGE + (page === 0 ? 100 : 0) + below(12), below(8)];
    }),
  ];
}

describe("bits turned over in a store", () => {
  it("[L61] each is refused, named, or changes nothing: none is ever served as if it were right", () => {
    const random = Array.from({ length: RANDOM }, (): [number, number] => [
      below(bytes.length),
      below(8),
    ]);
    const places = [...random, ...aimed()];
    const files = places.map(([at, bit], index) => turned(at, bit, `${index}-${at}-${bit}`));
    const found = verdicts(files);
    const counts = new Map<string, number>();
    for (const said of found.values()) counts.set(said, (counts.get(said) ?? 0) + 1);
    console.log(`seed ${SEED}:`, Object.fromEntries(counts));
    // What would end the hub is refused by the trial in another process.
    for (const [file, said] of found)
      if (said === "aborted") expect(() => tryDatabase(file, false)).toThrow(/STORE_DAMAGED/);
    const bad = [...found].filter(
      ([, said]) => !["right", "refused", "named", "aborted"].includes(said),
    );
    expect(bad).toEqual([]);
    expect(found.size).toBe(files.length);
    // Levels, names and links are never right once a bit is turned.
    const sealed = files.slice(RANDOM, RANDOM + 20).concat(files.slice(RANDOM + 30, RANDOM + 40));
    expect(sealed.filter((file) => found.get(file) === "right")).toEqual([]);
  }, 120_000);

  it("[L62] a hub that would be ended by reading a store says so instead", async () => {
    const copy = join(folder, "copy.sqlite");
    copyFileSync(path, copy);
    expect(() => tryDatabase(copy, true)).not.toThrow();
    writeFileSync(copy, bytes.subarray(0, bytes.length / 2));
    expect(() => tryDatabase(copy, false)).toThrow(/STORE_DAMAGED/);
    writeFileSync(copy, Buffer.alloc(PAGE * 3, 7));
    expect(() => tryDatabase(copy, false)).toThrow(/STORE_DAMAGED/);
  });

  it("[L145] a trial that never came as far as the database says nothing of it", () => {
    const copy = join(folder, "sound.sqlite");
    copyFileSync(path, copy);
    vi.stubEnv("NODE_OPTIONS", "--import=data:text/javascript,process.exit(1)");
    try {
      expect(tryDatabase(copy, true)).toBe(false);
    } finally {
      vi.unstubAllEnvs();
    }
    expect(tryDatabase(copy, true)).toBe(true);
  });
});
