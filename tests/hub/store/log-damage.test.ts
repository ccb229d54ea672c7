import {
  copyFileSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "libsql";
import { afterEach, beforeEach, expect, it } from "vitest";
import { isLogDamaged } from "../../../src/hub/store/log-damage.ts";

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-log-"));
  path = join(folder, "copy.sqlite");
  const own = join(folder, "own.sqlite");
  const database = new Database(own);
  database.pragma("journal_mode = WAL");
  database.exec("CREATE TABLE words (word TEXT)");
  // A second round over a longer first one: pages of the first lie behind it.
  for (let at = 0; at < 40; at++) database.exec(`INSERT INTO words VALUES ('first ${at}')`);
  database.pragma("wal_checkpoint(PASSIVE)");
  for (let at = 0; at < 10; at++) database.exec(`INSERT INTO words VALUES ('second ${at}')`);
  // As a kill leaves it.
  for (const part of ["", "-wal"]) copyFileSync(`${own}${part}`, `${path}${part}`);
  database.close();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const rowsIn = (file: string): number => {
  const database = new Database(file);
  const [{ count }] = database.prepare("SELECT count(*) AS count FROM words").all() as [
    { count: number },
  ];
  database.close();
  return count;
};

it("[L106] finds a log sound that a kill left, one that is torn at its end, and none", () => {
  expect(isLogDamaged(path)).toBe(false);
  const whole = readFileSync(`${path}-wal`);
  for (const cut of [1, 100, 4096, 4096 * 3 + 7]) {
    writeFileSync(`${path}-wal`, whole);
    truncateSync(`${path}-wal`, whole.length - cut);
    expect(isLogDamaged(path)).toBe(false);
  }
  expect(isLogDamaged(join(folder, "other.sqlite"))).toBe(false);
});

it("[L106] finds every bit that is turned before the last write of it, and the library says nothing", () => {
  const whole = readFileSync(`${path}-wal`);
  const all = rowsIn(path);
  let found = 0;
  for (let at = 5; at < 32 + 9 * (4096 + 24); at += 997) {
    const bytes = Buffer.from(whole);
    bytes[at] = (bytes[at] as number) ^ 4;
    writeFileSync(`${path}-wal`, bytes);
    const isDamaged = isLogDamaged(path);
    copyFileSync(path, join(folder, "read.sqlite"));
    writeFileSync(join(folder, "read.sqlite-wal"), bytes);
    const left = rowsIn(join(folder, "read.sqlite"));
    for (const part of ["", "-wal", "-shm"])
      rmSync(join(folder, `read.sqlite${part}`), { force: true });
    // Where nothing is missing a word too much may be said, where something is none too little.
    if (left < all) {
      found++;
      expect([at, isDamaged]).toEqual([at, true]);
    }
  }
  expect(found).toBeGreaterThan(20);
});
