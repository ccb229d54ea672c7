import { spawn } from "node:child_process";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Fault } from "../../../src/book/faults.ts";
import { startHub } from "../../../src/hub/main.ts";
import { writeLogBack } from "../../../src/hub/store/apart-mark.ts";
import { backUp, restore } from "../../../src/hub/store/backup.ts";
import { openToRead } from "../../../src/hub/store/open-database.ts";
import { markWrittenBack } from "../../../src/hub/store/open-mark.ts";
import { openForCommand, openStore } from "../../../src/hub/store/open-store.ts";
import { sqliteRows } from "../../../src/hub/store/sqlite-rows.ts";
import { openStandsLog } from "../../../src/hub/store/stands-log.ts";
import { storeFile } from "../../../src/hub/store/store-file.ts";
import { storesBeside } from "../../../src/hub/store/stores-beside.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { AHubProcess } from "../../builders/a-hub-process.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-place-"));
  path = storeFile(folder);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));
const [first, ...rest] = aTestDay().plan;
if (!first) throw new Error("a plan");

/**
 * Reads as a copy on a slow stick does: it begins, and ends when it is told.
 * It prepares no statement: one that is left keeps its connection, and with it the log, from being closed (40 of 40 processes that ended).
 */
const aReader = `
  const Database = require("libsql");
  const database = new Database(process.argv[1]);
  database.exec("BEGIN; SELECT count(*) FROM sqlite_master");
  process.stdout.write("reads");
  process.stdin.once("data", () => {
    database.exec("ROLLBACK");
    database.close();
    process.exit();
  });`;

describe("a store that was not closed", () => {
  /** A folder as it is when the hub was killed. */
  async function killed(): Promise<string> {
    const opened = await openStore(folder, undefined, testBooks);
    await opened.store.append(aGradingId, [first as never, ...rest]);
    const other = join(folder, "killed");
    mkdirSync(other);
    for (const file of readdirSync(folder).filter((name) => name.startsWith("evenhand.sqlite")))
      copyFileSync(join(folder, file), join(other, file));
    await opened.close();
    return other;
  }

  it("[L63] opens with its log, with all that was kept, and says that it was left open", async () => {
    const data = await killed();
    const opened = await openStore(data, undefined, testBooks);
    expect(opened.leftOpen).toEqual({ why: undefined });
    expect(await opened.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await opened.close();
    const again = await openStore(data, undefined, testBooks);
    expect(again.leftOpen).toBeUndefined();
    await again.close();
  });

  it("[L63] does not open without it, neither for a hub nor for a command", async () => {
    const data = await killed();
    rmSync(`${storeFile(data)}-wal`);
    await expect(openStore(data, undefined, testBooks)).rejects.toThrow(/STORE_LOG_GONE/);
    await expect(openForCommand({ dataFolder: data }, testBooks, {})).rejects.toThrow(
      /STORE_LOG_GONE/,
    );
    // Whoever wants to go on with what is there puts an empty one in its place.
    writeFileSync(`${storeFile(data)}-wal`, "");
    await (await openStore(data, undefined, testBooks)).close();
    await (await openStore(data, undefined, testBooks)).close();
  });

  it("[L63] nor where its file alone was copied from a hub at work; a copy by command, and the file of a hub that has ended, need no log", async () => {
    const opened = await openStore(folder, undefined, testBooks);
    await opened.store.append(aGradingId, [first]);
    const alone = join(folder, "alone");
    mkdirSync(alone);
    copyFileSync(storeFile(folder), storeFile(alone));
    await expect(openStore(alone, undefined, testBooks)).rejects.toThrow(/STORE_LOG_GONE/);
    // A command that looks in beside the hub, and goes, changes nothing of that.
    await (await openForCommand({ dataFolder: folder }, testBooks, {}))?.close();
    copyFileSync(storeFile(folder), storeFile(alone));
    await expect(openForCommand({ dataFolder: alone }, testBooks, {})).rejects.toThrow(
      /STORE_LOG_GONE/,
    );
    expect(() => openToRead(storeFile(alone))).toThrow(/STORE_LOG_GONE/);
    const copied = join(folder, "copied");
    mkdirSync(copied);
    // Also one that is made while the hub writes its log back.
    const reader = new Database(path);
    reader.pragma("application_id = 0x45766861");
    reader.close();
    backUp(storeFile(folder), storeFile(copied));
    await (await openStore(copied, undefined, testBooks)).close();
    await opened.close();
    rmSync(storeFile(alone));
    copyFileSync(storeFile(folder), storeFile(alone));
    const again = await openStore(alone, undefined, testBooks);
    expect((await again.store.read(aGradingId, 0)).length).toBeGreaterThan(0);
    await again.close();
  });

  it("[L111] in which another program writes keeps nobody waiting who does not need it, and goes on by itself", async () => {
    const told: Fault[] = [];
    const opened = await openStore(folder, undefined, testBooks, {
      onWaiting: (fault) => void told.push(fault),
    });
    const viewer = new Database(path);
    viewer.exec("BEGIN IMMEDIATE");
    const beganMs = performance.now();
    const kept = opened.store.append(aGradingId, [first, ...rest]);
    const setting = opened.door.keepSetting("a", "b");
    // The process goes on: only these two wait.
    expect(performance.now() - beganMs).toBeLessThan(1_000);
    await vi.waitFor(
      () => expect(told).toEqual([{ code: "STORE_BUSY", with: { file: path } }]),
      10_000,
    );
    expect(await opened.store.read(aGradingId, 0)).toEqual([]);
    viewer.exec("ROLLBACK");
    viewer.close();
    expect((await kept).added).toHaveLength(rest.length + 1);
    await setting;
    expect(await opened.door.setting("a")).toBe("b");
    await opened.close();
  });

  it("[L111] where what waited for it in vain keeps nobody from writing after", async () => {
    const opened = await openStore(folder, undefined, testBooks);
    const viewer = new Database(path);
    viewer.exec("BEGIN IMMEDIATE");
    const { door } = opened;
    const grading = { grading: aGradingId, code: "AAAAAA", madeBy: anId("chief") };
    const inVain = await Promise.allSettled([
      door.keepSetting("a", "1"),
      door.settleSetting("b", "1"),
      door.makeGrading(grading, 1),
      opened.store.append(aGradingId, [first]),
    ]);
    expect(inVain.map(({ status }) => status)).toEqual(Array(4).fill("rejected"));
    opened.look();
    viewer.exec("ROLLBACK");
    viewer.close();
    const beganMs = performance.now();
    expect((await opened.store.append(aGradingId, [first, ...rest])).added).not.toEqual([]);
    await door.keepSetting("a", "2");
    expect(performance.now() - beganMs).toBeLessThan(2_000);
    await opened.close();
  }, 30_000);

  describe("[L108] beside the log of another moment", () => {
    const files = () => readdirSync(folder).filter((name) => name.startsWith("evenhand.sqlite"));
    function copyOf(names: readonly string[], into: string): string {
      const data = join(folder, into);
      mkdirSync(data, { recursive: true });
      for (const name of names) copyFileSync(join(folder, name), join(data, name));
      return data;
    }
    async function isRefused(data: string): Promise<void> {
      const [store, log] = [storeFile(data), `${storeFile(data)}-wal`].map((name) => ({
        name,
        bytes: readFileSync(name),
      }));
      const other = /STORE_LOG_OTHER/;
      await expect(openStore(data, undefined, testBooks)).rejects.toThrow(other);
      for (const alone of [false, true])
        await expect(openForCommand({ dataFolder: data }, testBooks, { alone })).rejects.toThrow(
          other,
        );
      expect(() => openToRead(storeFile(data))).toThrow(other);
      expect(() => backUp(storeFile(data), join(data, "copy"))).toThrow(other);
      for (const one of [store, log])
        expect(readFileSync(one?.name as string).equals(one?.bytes as Buffer)).toBe(true);
    }
    const isWhole = async (data: string) => {
      const opened = await openStore(data, undefined, testBooks);
      expect(await opened.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
      await opened.close();
    };

    it("yesterday's file, put there by hand", async () => {
      await (await openStore(folder, undefined, testBooks)).close();
      const yesterday = join(folder, "yesterday");
      copyFileSync(path, yesterday);
      const data = await killed();
      copyFileSync(storeFile(data), join(folder, "todays"));
      copyFileSync(yesterday, storeFile(data));
      await isRefused(data);
      // Nothing is lost by it.
      copyFileSync(join(folder, "todays"), storeFile(data));
      await isWhole(data);
    });

    it("a copy of the same minute, and one that was made by another process", async () => {
      const opened = await openStore(folder, undefined, testBooks);
      await opened.store.append(aGradingId, [first, ...rest]);
      const copy = join(folder, "copy.sqlite");
      backUp(path, copy);
      const data = copyOf(files(), "killed");
      await opened.close();
      copyFileSync(copy, storeFile(data));
      await isRefused(data);
      // Whoever wants to go on with it puts an empty file in the place of the log.
      writeFileSync(`${storeFile(data)}-wal`, "");
      await isWhole(data);
    });

    it("a folder that was copied while the hub wrote its log back", async () => {
      const opened = await openStore(folder, undefined, testBooks);
      await opened.store.append(aGradingId, [first]);
      const data = copyOf(["evenhand.sqlite"], "slow");
      opened.sweep && (await opened.sweep());
      await opened.close();
      const again = await openStore(folder, undefined, testBooks);
      await again.store.append(aGradingId, rest);
      copyOf(["evenhand.sqlite-wal", "evenhand.sqlite-open"], "slow");
      await again.close();
      await isRefused(data);
    });

    it("but not after a kill at any moment of writing it back", async () => {
      const opened = await openStore(folder, undefined, testBooks);
      await opened.store.append(aGradingId, [first, ...rest]);
      const database = new Database(path);
      database.pragma("wal_autocheckpoint = 0");
      const kept: string[] = [];
      const keptAfter = (done: unknown) => {
        kept.push(copyOf(files(), `kill-${kept.length}`));
        return done;
      };
      const watched = {
        prepare: database.prepare.bind(database),
        pragma: (source: string) => keptAfter(database.pragma(source)),
        exec: (source: string) => keptAfter(database.exec(source)),
      };
      for (let times = 0; times < 3; times++) {
        writeLogBack(watched as never);
        await opened.store.append(aGradingId, []);
      }
      const reader = new Database(path);
      reader.exec("BEGIN");
      reader.prepare("SELECT count(*) FROM entries").get();
      database.pragma("busy_timeout = 0");
      writeLogBack({
        ...watched,
        pragma: (source: string) => source.includes("timeout") || watched.pragma(source),
      } as never);
      reader.exec("ROLLBACK");
      reader.close();
      writeLogBack(watched as never);
      database.close();
      await opened.close();
      expect(kept.length).toBeGreaterThan(20);
      // Also after somebody has only read it.
      for (const data of kept) await sqliteRows(storeFile(data)).close();
      for (const data of kept) await isWhole(data);
    });
  });

  it.each(["command", "hub"] as const)(
    "[L106] is named where a bit of its log was turned: a hub goes on with the rest and says so, a command does not (%s)",
    async (how) => {
      const data = await killed();
      const log = `${storeFile(data)}-wal`;
      const bytes = readFileSync(log);
      const early = 32 + 24 + 1000;
      bytes[early] = (bytes[early] as number) ^ 1;
      writeFileSync(log, bytes);
      if (how === "hub") {
        const opened = await openStore(data, undefined, testBooks);
        expect(opened.leftOpen).toEqual({ why: undefined, isLogDamaged: true });
        return opened.close();
      }
      const damaged = /STORE_LOG_DAMAGED/;
      expect(() => openToRead(storeFile(data))).toThrow(damaged);
      for (const alone of [false, true])
        await expect(openForCommand({ dataFolder: data }, testBooks, { alone })).rejects.toThrow(
          damaged,
        );
      expect(() => backUp(storeFile(data), join(data, "copy"))).toThrow(damaged);
      expect(readFileSync(log).length).toBe(bytes.length);
    },
  );

  it("[L63] does not begin anew where its own file is gone and its log is there", async () => {
    const data = await killed();
    renameSync(storeFile(data), join(data, "elsewhere"));
    await expect(openStore(data, undefined, testBooks)).rejects.toThrow(/STORE_FILE_GONE/);
    writeFileSync(storeFile(data), "");
    await expect(openStore(data, undefined, testBooks)).rejects.toThrow(/STORE_FILE_GONE/);
    renameSync(join(data, "elsewhere"), storeFile(data));
    const opened = await openStore(data, undefined, testBooks);
    expect(await opened.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await opened.close();
  });

  it("[L140] does not begin anew where its own file is gone and notes beside it say who was let in", async () => {
    const opened = await openStore(folder, undefined, testBooks);
    await opened.store.append(aGradingId, [first, ...rest]);
    await opened.close();
    const stands = { grading: aGradingId, person: first.by, roles: "chief" };
    openStandsLog(folder).note([{ token: "a", at: "2026-11-30T10:00:00.000Z", ...stands }]);
    const away = join(folder, "elsewhere");
    renameSync(path, away);
    const gone = /STORE_GONE/;
    await expect(openStore(folder, undefined, testBooks)).rejects.toThrow(gone);
    await expect(
      openForCommand({ dataFolder: folder }, testBooks, { alone: true, makes: true }),
    ).rejects.toThrow(gone);
    writeFileSync(path, "");
    await expect(openStore(folder, undefined, testBooks)).rejects.toThrow(gone);
    await restore(away, path, testBooks);
    const again = await openStore(folder, undefined, testBooks);
    expect(await again.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await again.close();
  });

  it("[L63] is an ordinary one again after a command has written its log back", async () => {
    const data = await killed();
    await (await openForCommand({ dataFolder: data }, testBooks, {}))?.close();
    rmSync(`${storeFile(data)}-wal`, { force: true });
    const opened = await openStore(data, undefined, testBooks);
    expect(await opened.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await opened.close();
  });

  it("[L63] opens after somebody has only read it, who wrote its log back by that", async () => {
    const data = await killed();
    await sqliteRows(storeFile(data)).close();
    const opened = await openStore(data, undefined, testBooks);
    expect(await opened.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await opened.close();
  });

  it("[L63] opens where the last kill came while the log was written back, and it is gone for that", async () => {
    const data = await killed();
    const at = storeFile(data);
    // As far as a start comes before it is killed: it says what it is about to do, and the log is written back and goes.
    markWrittenBack(at);
    const mark = readFileSync(`${at}-open`);
    await (await openForCommand({ dataFolder: data }, testBooks, {}))?.close();
    rmSync(`${at}-wal`, { force: true });
    writeFileSync(`${at}-open`, mark);
    const opened = await openStore(data, undefined, testBooks);
    expect(opened.leftOpen).toEqual({ why: undefined });
    expect(await opened.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    // From here on the log is missed again.
    expect(JSON.parse(readFileSync(`${at}-open`, "utf8"))).toEqual({ isSaid: true });
    await opened.close();
  });

  it.each(["ended", "killed"] as const)(
    "[L63] opens where the hub was %s while another program read its store, and closed it last",
    async (how) => {
      const hub = await AHubProcess.start(folder, 0);
      const reader = spawn(process.execPath, ["-e", aReader, path], { stdio: "pipe" });
      await new Promise((done) => reader.stdout.once("data", done));
      await (how === "killed" ? hub.kill() : hub.end());
      reader.stdin.write("go");
      await new Promise((done) => reader.once("exit", done));
      expect(existsSync(`${path}-wal`)).toBe(false);
      const opened = await openStore(folder, undefined, testBooks);
      expect(await opened.store.gradings()).toEqual([]);
      await opened.close();
    },
  );

  it("[L63] a hub that was killed in earnest leaves what it takes to open it again", async () => {
    const hub = await AHubProcess.start(folder, 0);
    await hub.kill();
    expect(existsSync(`${path}-open`)).toBe(true);
    const opened = await openStore(folder, undefined, testBooks);
    expect(opened.leftOpen).toEqual({ why: undefined });
    await opened.close();
  });
});

describe("a file under a running hub", () => {
  const changes: [string, () => void][] = [
    ["removed", () => rmSync(path)],
    ["moved", () => renameSync(path, `${path}.elsewhere`)],
    [
      "replaced",
      () => {
        copyFileSync(path, `${path}.other`);
        renameSync(`${path}.other`, path);
      },
    ],
    ["without its log", () => rmSync(`${path}-wal`)],
  ];
  it.each(changes)(
    "[L64] that is %s is noticed before anything is acknowledged",
    async (_, change) => {
      const opened = await openStore(folder, undefined, testBooks);
      await opened.store.append(aGradingId, [first]);
      change();
      await expect(opened.store.append(aGradingId, rest)).rejects.toThrow(/STORE_MOVED/);
      const { fault, saved } = await opened.failed;
      expect(fault.code).toBe("STORE_MOVED");
      await opened.close();
      // Everything that was acknowledged is in what was saved; it comes back as a backup does.
      const data = join(folder, "again");
      mkdirSync(data);
      await restore(saved ?? "", storeFile(data), testBooks);
      const again = await openStore(data, undefined, testBooks);
      expect((await again.store.read(aGradingId, 0))[0]?.entry).toEqual(first);
      await again.close();
    },
  );

  it("[L64] nothing of it is played into the file that was put there, nor is that file's own log taken away", async () => {
    // Somebody puts the store of another hub there, which was killed: its last commits stand in its log.
    const other = join(folder, "other");
    mkdirSync(other);
    const theirs = await openStore(other, undefined, testBooks);
    const otherGrading = "other-test" as typeof aGradingId;
    await theirs.store.append(otherGrading, [{ ...first, grading: otherGrading }]);
    for (const withLog of [false, true]) {
      const data = join(folder, `data-${withLog}`);
      const opened = await openStore(data, undefined, testBooks);
      await opened.store.append(aGradingId, [first]);
      const at = storeFile(data);
      if (withLog) {
        copyFileSync(`${storeFile(other)}-wal`, `${at}.x`);
        renameSync(`${at}.x`, `${at}-wal`);
      } else backUp(storeFile(other), `${at}.copy`);
      copyFileSync(withLog ? storeFile(other) : `${at}.copy`, `${at}.y`);
      renameSync(`${at}.y`, at);
      expect(() => opened.mustBeThere()).toThrow(/STORE_MOVED/);
      await expect(opened.store.append(aGradingId, rest)).rejects.toThrow(/STORE_MOVED/);
      await opened.close();
      const again = await openStore(data, undefined, testBooks);
      expect(await again.store.gradings()).toMatchObject([{ grading: otherGrading }]);
      await again.close();
    }
    await theirs.close();
  });

  it("[L64] an idle hub notices by itself, and the next start says why the last one ended", async () => {
    const opened = await openStore(folder, undefined, testBooks);
    await opened.store.append(aGradingId, [first]);
    const copy = join(folder, "copy.sqlite");
    backUp(path, copy);
    renameSync(copy, path);
    opened.look();
    expect((await opened.failed).fault.code).toBe("STORE_MOVED");
    await opened.close();
    const again = await openStore(folder, undefined, testBooks);
    expect(again.leftOpen?.why?.code).toBe("STORE_MOVED");
    await again.close();
  });
});

describe("what is none of ours", () => {
  /** A copy that somebody gave a trigger, a view and a table of their own. */
  async function foreign(): Promise<string> {
    const opened = await openStore(folder, undefined, testBooks);
    await opened.store.append(aGradingId, [first as never, ...rest]);
    await opened.close();
    const copy = join(folder, "copy.sqlite");
    backUp(path, copy);
    const database = new Database(copy);
    database.exec(`
      CREATE TABLE stolen (record TEXT);
      CREATE TRIGGER copies AFTER INSERT ON sides BEGIN INSERT INTO stolen VALUES (new.record); END;
      CREATE VIEW everything AS SELECT * FROM entries;
    `);
    database.close();
    return copy;
  }
  const madeIn = (file: string) => {
    const database = new Database(file);
    const names = database.prepare("SELECT name FROM sqlite_master").all() as { name: string }[];
    database.close();
    return names.map(({ name }) => name);
  };

  it("[L65] does not come along with a copy; what is ours does", async () => {
    const copy = await foreign();
    const data = join(folder, "again");
    mkdirSync(data);
    await restore(copy, storeFile(data), testBooks);
    expect(madeIn(copy)).toContain("copies");
    for (const name of ["stolen", "copies", "everything"])
      expect(madeIn(storeFile(data))).not.toContain(name);
    const again = await openStore(data, undefined, testBooks);
    expect(await again.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await again.close();
  });

  it("[L65] in a store itself is refused by name", async () => {
    const copy = await foreign();
    const data = join(folder, "again");
    mkdirSync(data);
    copyFileSync(copy, storeFile(data));
    await expect(openStore(data, undefined, testBooks)).rejects.toThrow(/copies|everything|stolen/);
  });

  it("[L65] what SQLite counted for a viewer of databases is nobody's, and goes", async () => {
    const opened = await openStore(folder, undefined, testBooks);
    await opened.store.append(aGradingId, [first, ...rest]);
    await opened.close();
    const database = new Database(path);
    database.exec("ANALYZE");
    database.close();
    expect(madeIn(path).some((name) => name.startsWith("sqlite_stat"))).toBe(true);
    const again = await openStore(folder, undefined, testBooks);
    expect(await again.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await again.close();
    expect(madeIn(path).some((name) => name.startsWith("sqlite_stat"))).toBe(false);
  });

  it("[L65] a copy whose tables are not as ours are is refused in words", async () => {
    const copy = join(folder, "strange.sqlite");
    const database = new Database(copy);
    database.exec("CREATE TABLE entries (a TEXT); INSERT INTO entries VALUES ('x')");
    database.close();
    await expect(restore(copy, join(folder, "new.sqlite"), testBooks)).rejects.toThrow(
      /STORE_DAMAGED/,
    );
    expect(existsSync(join(folder, "new.sqlite"))).toBe(false);
    writeFileSync(copy, "no database");
    await expect(restore(copy, join(folder, "new.sqlite"), testBooks)).rejects.toThrow(
      /STORE_DAMAGED/,
    );
  });
});

describe("a folder that bears the name of a file of the store's", () => {
  it.each([
    "evenhand.sqlite",
    "evenhand.sqlite-wal",
    "evenhand.sqlite.brought",
    "brought-back.sqlite",
  ])("[L11] is named: %s", async (name) => {
    await (await openStore(folder, undefined, testBooks)).close();
    const place = join(folder, name);
    for (const file of [place, `${place}-wal`]) rmSync(file, { force: true });
    mkdirSync(place);
    const lost = { fault: { code: "STORE_LOST", with: { file: place } } };
    await expect(
      startHub({ port: 0, host: "127.0.0.1", dataFolder: folder }),
    ).rejects.toMatchObject(lost);
    expect(existsSync(place)).toBe(true);
  });

  it("[L11] is not taken for a store that was brought back", async () => {
    mkdirSync(join(folder, "evenhand.sqlite.brought"));
    const opened = await openStore(folder, undefined, testBooks);
    expect(await opened.store.gradings()).toEqual([]);
    await opened.close();
  });
});

describe("a store whose file is a link to another disk", () => {
  let data: string;
  let disk: string;
  beforeEach(async () => {
    [data, disk] = [join(folder, "data"), join(folder, "disk")];
    for (const one of [data, disk]) mkdirSync(one);
    const opened = await openStore(disk, undefined, testBooks);
    await opened.store.append(aGradingId, [first]);
    await opened.close();
    symlinkSync(join(disk, "evenhand.sqlite"), join(data, "evenhand.sqlite"));
  });
  const linesIn = async (place: string) => {
    const opened = await openForCommand({ dataFolder: place }, testBooks, {});
    try {
      return (await opened?.store.read(aGradingId, 0))?.length;
    } finally {
      await opened?.close();
    }
  };

  it("[L115] has its log, its mark and its lock beside it there: after a kill nothing is missing, for a hub or a command", async () => {
    const opened = await openStore(data, undefined, testBooks);
    await opened.store.append(aGradingId, rest);
    expect(readdirSync(data)).toEqual(["evenhand.sqlite"]);
    expect(readdirSync(disk).sort()).toEqual(
      ["", "-open", "-shm", "-wal"]
        .map((part) => `evenhand.sqlite${part}`)
        .concat("in-use.lock")
        .sort(),
    );
    // By its own name it is the same store.
    await expect(openStore(disk, undefined, testBooks)).rejects.toMatchObject({
      fault: { code: "STORE_IN_USE" },
    });
    const [killed, killedDisk] = [join(folder, "killed"), join(folder, "killed-disk")];
    for (const one of [killed, killedDisk]) mkdirSync(one);
    for (const file of readdirSync(disk)) copyFileSync(join(disk, file), join(killedDisk, file));
    symlinkSync(join("..", "killed-disk", "evenhand.sqlite"), join(killed, "evenhand.sqlite"));
    await opened.close();
    expect(readdirSync(disk)).not.toContain("evenhand.sqlite-open");
    expect(await linesIn(killed)).toBe(rest.length + 1);
    const again = await openStore(killed, undefined, testBooks);
    expect(await again.store.read(aGradingId, 0)).toHaveLength(rest.length + 1);
    await again.close();
  });

  it("[L115] is not begun anew where its link leads nowhere, but for a copy that is brought back", async () => {
    const copy = join(folder, "copy.sqlite");
    backUp(storeFile(data), copy);
    renameSync(disk, `${disk}-away`);
    mkdirSync(disk);
    for (const opens of [
      () => openStore(data, undefined, testBooks),
      () => openForCommand({ dataFolder: data }, testBooks, { makes: true, alone: true }),
    ])
      await expect(opens()).rejects.toMatchObject({
        fault: { code: "STORE_LOST", with: { file: join(disk, "evenhand.sqlite") } },
      });
    expect(readdirSync(disk).filter((file) => file.startsWith("evenhand"))).toEqual([]);
    await restore(copy, storeFile(data), testBooks);
    expect(await linesIn(data)).toBe(1);
    expect(readdirSync(disk)).toContain("evenhand.sqlite");
  });

  it("[L115] is noticed to be gone where its link is taken away, and opens again with all it held when it is back", async () => {
    const opened = await openStore(data, undefined, testBooks);
    await opened.store.append(aGradingId, rest.slice(0, 1));
    rmSync(join(data, "evenhand.sqlite"));
    await expect(opened.store.append(aGradingId, rest.slice(1))).rejects.toMatchObject({
      fault: { code: "STORE_MOVED" },
    });
    const { saved } = await opened.failed;
    expect(saved && existsSync(saved)).toBe(true);
    await opened.close();
    symlinkSync(join(disk, "evenhand.sqlite"), join(data, "evenhand.sqlite"));
    expect(await linesIn(data)).toBeGreaterThanOrEqual(2);
  });

  it("[L115] names the older stores that lie there", () => {
    const aside = "evenhand.sqlite.aside-20260606T100000000Z";
    writeFileSync(join(disk, aside), "");
    expect(storesBeside(disk)).toEqual([aside]);
    expect(storesBeside(data)).toEqual([join(disk, aside)]);
  });
});
