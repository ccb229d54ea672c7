import { createHash } from "node:crypto";
import {
  copyFileSync,
  existsSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import canonicalize from "canonicalize";
import fc from "fast-check";
import Database from "libsql";
import { afterAll, beforeEach, describe, expect, it, vi } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { testSides } from "../../../src/belt-test/scorebook/test-sides.ts";
import type { Fault } from "../../../src/book/faults.ts";
import type { GradingId, SideRecordId } from "../../../src/book/identity.ts";
import { restore } from "../../../src/hub/store/backup.ts";
import { openDatabase } from "../../../src/hub/store/open-database.ts";
import { readChainsIn } from "../../../src/hub/store/read-chains.ts";
import { openSqliteScorebook, sqliteScorebook } from "../../../src/hub/store/sqlite-scorebook.ts";
import { SqliteSweeper } from "../../../src/hub/store/sqlite-sweeper.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { itKeepsTheScorebookContract } from "../../contracts/scorebook-store.contract.ts";
import { itKeepsTheSharedScorebookContract } from "../../contracts/shared-scorebook.contract.ts";

const folder = mkdtempSync(join(tmpdir(), "evenhand-"));
let file = "";
let made = 0;
beforeEach(() => {
  file = join(folder, `${++made}.sqlite`);
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("the SQLite scorebook", () => {
  itKeepsTheScorebookContract(() => openSqliteScorebook(file, testBooks));
  itKeepsTheSharedScorebookContract(() => openSqliteScorebook(file, testBooks));
});

describe("the SQLite file", () => {
  it("[L1] counts 1, 2, 3 … in each grading by itself", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen), aMark(pen)]);
    const other = "grading-2" as GradingId;
    await book.append(other, [aMark(aPen("judge-1", "judge-1-tablet", other))]);
    await book.append(aGradingId, [aMark(pen)]);
    expect((await book.read(aGradingId, 0)).map(({ seq }) => seq)).toEqual([1, 2, 3]);
    expect((await book.read(other, 0)).map(({ seq }) => seq)).toEqual([1]);
    await book.close();
  });

  it("[L14] leaves no byte of an erased name in the file or beside it, and a chain that is sound", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const mark = aMark(aPen("judge-1"));
    const record = {
      id: "side-1" as SideRecordId,
      grading: aGradingId,
      about: "candidate-1" as CandidateId,
      kind: "candidate" as const,
      salt: "0".repeat(32),
      body: { given: "Xanthippe", contact: "0".repeat(180) },
    };
    await book.append(aGradingId, [mark], [record]);
    const bytes = () =>
      [file, `${file}-wal`]
        .filter((one) => existsSync(one))
        .map((one) => readFileSync(one).toString("latin1"))
        .join("");
    expect(bytes()).toContain("Xanthippe");
    await book.erase(aGradingId, "candidate-1");
    await vi.waitFor(() => expect(bytes().includes("Xanthippe")).toBe(false), 5_000);
    await book.close();
    expect(bytes()).not.toContain("Xanthippe");
    expect(await readChainsIn(file, testSides)).toMatchObject([{ entries: 1, broken: null }]);
  });

  it("[L101] keeps nobody waiting while somebody reads the file, and takes the bytes out when they have done", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const people = Array.from({ length: 12 }, (_, at) => `candidate-${at}`);
    const named = people.map((about, at) => ({
      ...{ id: `side-${at}` as SideRecordId, grading: aGradingId, about: about as CandidateId },
      ...{ kind: "candidate" as const, salt: "0".repeat(32), body: { given: `Xanthippe-${at}` } },
    }));
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen)], named);
    const reader = new Database(file);
    reader.exec("BEGIN");
    reader.prepare("SELECT count(*) FROM sides").get();
    const begun = performance.now();
    for (const about of people) await book.erase(aGradingId, about);
    await new Promise((done) => setTimeout(done, 1_000));
    const late = performance.now() - begun - 1_000;
    await book.append(aGradingId, [aMark(pen)]);
    // A log that is waited for is waited for five seconds, each time.
    expect(late).toBeLessThan(4_000);
    const bytes = () => readFileSync(file, "latin1");
    reader.exec("COMMIT");
    reader.close();
    await vi.waitFor(() => expect(bytes().includes("Xanthippe")).toBe(false), 10_000);
    await book.close();
  });

  it("[L101] takes the bytes out at the next start where it was killed before", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const record = {
      ...{ id: "side-1" as SideRecordId, grading: aGradingId, about: "candidate-1" as CandidateId },
      ...{ kind: "candidate" as const, salt: "0".repeat(32), body: { given: "Xanthippe" } },
    };
    await book.append(aGradingId, [aMark(aPen("judge-1"))], [record]);
    await book.erase(aGradingId, "candidate-1");
    const killed = `${file}.killed`;
    for (const rest of ["", "-wal"]) copyFileSync(`${file}${rest}`, `${killed}${rest}`);
    await book.close();
    expect(readFileSync(`${killed}-wal`, "latin1")).toContain("Xanthippe");
    const database = openDatabase(killed);
    const sweeper = new SqliteSweeper(database, killed);
    expect(sweeper.isSwept).toBe(false);
    expect(sweeper.now()).toBe("done");
    expect(sweeper.isSwept).toBe(true);
    database.close();
    expect(readFileSync(killed, "latin1")).not.toContain("Xanthippe");
  });

  it("[L101] takes the bytes out in the next run, where somebody who read the file when it was ended or killed reads on at the start", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const record = {
      ...{ id: "side-1" as SideRecordId, grading: aGradingId, about: "candidate-1" as CandidateId },
      ...{ kind: "candidate" as const, salt: "0".repeat(32), body: { given: "Xanthippe" } },
    };
    await book.append(aGradingId, [aMark(aPen("judge-1"))], [record]);
    const reader = new Database(file);
    reader.exec("BEGIN");
    reader.prepare("SELECT count(*) FROM sides").get();
    await book.erase(aGradingId, "candidate-1");
    await book.close();
    const bytes = () =>
      [file, `${file}-wal`].map((one) => readFileSync(one).toString("latin1")).join("");
    const told: Fault[] = [];
    // The run after that, and one more.
    for (let run = 0; run < 2; run++) {
      const database = openDatabase(file);
      const sweeper = new SqliteSweeper(database, file, { onWaiting: (fault) => told.push(fault) });
      expect(sweeper.isSwept).toBe(false);
      for (let tries = 0; tries < 5; tries++) expect(sweeper.now()).toBe("waiting");
      expect(told.map(({ code }) => code)).toEqual(Array(run + 1).fill("ERASED_WAITS"));
      expect(bytes()).toContain("Xanthippe");
      // Nothing is written anew again and again.
      const { size } = statSync(`${file}-wal`);
      sweeper.now();
      expect(statSync(`${file}-wal`).size - size).toBeLessThan(40_000);
      database.close();
    }
    const database = openDatabase(file);
    const sweeper = new SqliteSweeper(database, file);
    reader.exec("COMMIT");
    reader.close();
    expect(sweeper.now()).toBe("done");
    expect(sweeper.isSwept).toBe(true);
    expect(bytes()).not.toContain("Xanthippe");
    database.close();
  });

  it("[L101] says that the bytes stay for now, and why", () => {
    const database = openDatabase(file);
    const told: Fault[] = [];
    const sweeper = new SqliteSweeper(database, file, { onWaiting: (fault) => told.push(fault) });
    database.exec("CREATE TABLE sides (id TEXT)");
    const other = new Database(file);
    other.exec("BEGIN IMMEDIATE");
    expect(sweeper.now()).toBe("waiting");
    for (let tries = 1; tries < 10; tries++) sweeper.now();
    expect(told).toMatchObject([{ code: "ERASED_WAITS" }]);
    other.exec("ROLLBACK");
    other.close();
    expect(sweeper.now()).toBe("done");
    database.close();
  });

  it("[L97] leaves no byte of whom it forgets, also where rows were moved between pages before", async () => {
    const people = fc.array(
      fc.record({ place: fc.nat(999), letters: fc.nat(700), isErased: fc.boolean() }),
      { minLength: 30, maxLength: 60 },
    );
    await fc.assert(
      fc.asyncProperty(people, async (all) => {
        file = join(folder, `${++made}.sqlite`);
        const before = openSqliteScorebook(file, testBooks);
        const named = all.map((one, at) => ({
          ...one,
          about: `candidate-${at}`,
          family: `Erasmus-${at}-`,
        }));
        for (const { about, family, place, letters } of named)
          await before.append(
            aGradingId,
            [],
            [
              {
                // They lie in the order of their ids, which is not that in which they come.
                ...{ id: `side-${place}-${about}` as SideRecordId, grading: aGradingId },
                ...{ about: about as CandidateId, kind: "candidate", salt: "0".repeat(32) },
                body: { family, contact: "x".repeat(letters) },
              },
            ],
          );
        await before.close();
        // A copy is filled row by row, and its pages are parted as it grows.
        const copied = `${file}.copied`;
        await restore(file, copied, testBooks);
        const book = openSqliteScorebook(copied, testBooks);
        for (const { about, isErased } of named) if (isErased) await book.erase(aGradingId, about);
        await book.close();
        const bytes = readFileSync(copied).toString("latin1");
        const left = named.filter(({ family }) => bytes.includes(family));
        expect(left.filter(({ isErased }) => isErased)).toEqual([]);
        expect(left).toHaveLength(named.filter(({ isErased }) => !isErased).length);
      }),
      { numRuns: 6, seed: 1 },
    );
  });

  it("[L14] forgets one person where another's record is damaged, and the damaged one by its id", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const record = (id: string, about: string, given: string) => ({
      id: id as SideRecordId,
      grading: aGradingId,
      about: about as CandidateId,
      kind: "candidate" as const,
      salt: "0".repeat(32),
      body: { given },
    });
    const records = [
      record("side-1", "candidate-1", "Xanthippe"),
      record("side-2", "candidate-2", "Ypsilon"),
    ];
    await book.append(aGradingId, [aMark(aPen("judge-1"))], records);
    const database = new Database(file);
    database.exec("UPDATE sides SET record = 'X' || substr(record, 2) WHERE id = 'side-2'");
    database.close();
    expect(await book.erase(aGradingId, "candidate-1")).toBe(1);
    const left = await book.sides(aGradingId);
    expect(left.map(({ id, body }) => [id, body])).toEqual([["side-2", {}]]);
    expect(await book.erase(aGradingId, "candidate-2", ["side-2" as SideRecordId])).toBe(1);
    expect(await book.sides(aGradingId)).toEqual([]);
    await book.close();
  });

  it("[L8] reads the same after it was closed and opened again, chain and all", async () => {
    const pen = aPen("judge-1");
    const first = openSqliteScorebook(file, testBooks);
    await first.append(aGradingId, [aMark(pen), aMark(pen)]);
    const before = await first.read(aGradingId, 0);
    await first.close();
    const second = openSqliteScorebook(file, testBooks);
    expect(await second.read(aGradingId, 0)).toEqual(before);
    const { added } = await second.append(aGradingId, [aMark(pen)]);
    expect(added[0]?.seq).toBe(3);
    await second.close();
  });

  it("[L8] has what it acknowledged on the disk at once: a copy of the files as they lie opens with it", async () => {
    const pen = aPen("judge-1");
    const book = openSqliteScorebook(file, testBooks);
    const { added } = await book.append(aGradingId, [aMark(pen), aMark(pen)]);
    const copy = `${file}-copy`;
    writeFileSync(copy, readFileSync(file));
    writeFileSync(`${copy}-wal`, readFileSync(`${file}-wal`));
    const afterPowerCut = openSqliteScorebook(copy, testBooks);
    expect(await afterPowerCut.read(aGradingId, 0)).toEqual(added);
    await afterPowerCut.close();
    await book.close();
  });

  it("[L9] chains the entries so that anybody can check them with SHA-256 and RFC 8785 alone", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen), aMark(pen), aMark(pen)]);
    const kept = await book.read(aGradingId, 0);
    await book.close();
    const raw = new Database(file);
    const salts = raw.prepare("SELECT salt FROM entries ORDER BY seq").all() as { salt: string }[];
    raw.close();
    const sha = (text: string) => createHash("sha256").update(text).digest("hex");
    let link = "0".repeat(64);
    for (const [index, { entry, chain }] of kept.entries()) {
      link = sha(link + sha(salts[index]?.salt + (canonicalize(entry) ?? "")));
      expect(chain).toBe(link);
    }
    expect(new Set(salts.map(({ salt }) => salt)).size).toBe(3);
  });

  it("[L10] lets nobody change or remove an entry, not even by hand in the file", async () => {
    const book = openSqliteScorebook(file, testBooks);
    await book.append(aGradingId, [aMark(aPen("judge-1"))]);
    await book.close();
    const raw = new Database(file);
    expect(() => raw.exec("UPDATE entries SET body = '{}'")).toThrow(/never changed/);
    expect(() => raw.exec("DELETE FROM entries")).toThrow(/never removed/);
    raw.close();
  });

  it("[L11] names a damaged file, a missing folder and a closed store", async () => {
    writeFileSync(file, "not a database at all ".repeat(500));
    expect(() => openSqliteScorebook(file, testBooks)).toThrow(/STORE_DAMAGED/);
    expect(() =>
      openSqliteScorebook(join(folder, "no", "such", "folder.sqlite"), testBooks),
    ).toThrow(/STORE_LOST/);
    const book = openSqliteScorebook(`${file}-2`, testBooks);
    await book.close();
    await expect(book.append(aGradingId, [aMark(aPen("judge-1"))])).rejects.toThrow(/STORE_CLOSED/);
  });

  it("[L11] says that the disk is full, and keeps what it had", async () => {
    const book = openSqliteScorebook(file, testBooks);
    const pen = aPen("judge-1");
    await book.append(aGradingId, [aMark(pen)]);
    await book.close();
    const raw = new Database(file);
    const [{ page_count: pages }] = raw.pragma("page_count") as [{ page_count: number }];
    raw.close();
    const small = openDatabase(file);
    // A limit on pages answers as a full disk does: SQLITE_FULL.
    small.pragma(`max_page_count = ${pages + 1}`);
    const cramped = sqliteScorebook(small, file, testBooks);
    const many = Array.from({ length: 200 }, () => aMark(pen));
    await expect(cramped.append(aGradingId, many)).rejects.toThrow(/STORE_FULL/);
    expect((await cramped.read(aGradingId, 0)).length).toBe(1);
    await cramped.close();
  });
});
