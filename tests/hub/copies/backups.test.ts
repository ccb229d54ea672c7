import { execFileSync } from "node:child_process";
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { type Fault, FaultError } from "../../../src/book/faults.ts";
import { Backups } from "../../../src/hub/copies/backups.ts";
import { type CopiesDisk, diskHere } from "../../../src/hub/copies/copies-disk.ts";
import type { LookedAt } from "../../../src/hub/copies/copy-ahead.ts";
import type { Clock } from "../../../src/ports/clock.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-copies-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** Time that only the test moves. */
function aClock() {
  let nowMs = Date.UTC(2026, 5, 6, 10);
  let due: { atMs: number; work: () => void }[] = [];
  const clock: Clock = {
    nowMs: () => nowMs,
    steadyMs: () => nowMs,
    after(ms, work) {
      const one = { atMs: nowMs + ms, work };
      due.push(one);
      return () => {
        due = due.filter((other) => other !== one);
      };
    },
    every: () => () => undefined,
  };
  return {
    clock,
    pass(ms: number) {
      nowMs += ms;
      const ripe = due.filter(({ atMs }) => atMs <= nowMs);
      due = due.filter(({ atMs }) => atMs > nowMs);
      for (const { work } of ripe) work();
    },
  };
}
const settled = () => new Promise((done) => setTimeout(done, 5));
const copy = async (file: string) => writeFileSync(file, "copy");
/** Who is gone, as one word. */
const gone = "0000000c";
/** Of these copies one holds more than the store. */
const thisAhead = (copies: readonly string[], file: string, fault: Fault): LookedAt => ({
  ahead: copies.flatMap((copy) => (copy.endsWith(file) ? [{ copy, fault }] : [])),
  unread: [],
});
const MINUTES = 60_000;
const DAYS = 24 * 60 * MINUTES;

describe("copies of a hub at work", () => {
  it("[L112] make room for a new one where the disk is full, but for the last; where there is none, an erasing is told again", async () => {
    const told: Fault[] = [];
    let room = 20;
    const { clock, pass } = aClock();
    const freeBytes = () => room - 4 * readdirSync(folder).length;
    const backups = new Backups(
      {
        folder,
        everyMinutes: 10,
        disk: { ...diskHere, freeBytes: async () => freeBytes() },
        onFailed: (fault) => void told.push(fault),
        async copy(file) {
          if (freeBytes() < 4) throw new FaultError({ code: "BACKUP_FAILED" });
          await copy(file);
        },
      },
      clock,
    );
    const times: number[] = [];
    for (let at = 0; at < 8; at++) {
      pass(MINUTES);
      times.push(clock.nowMs());
      await backups.now();
    }
    expect(told).toEqual([]);
    expect((await backups.state()).kept.map(({ atMs }) => atMs)).toEqual(times.slice(-5).reverse());
    room = 0;
    pass(MINUTES);
    await backups.now();
    await backups.now();
    expect(told).toHaveLength(1);
    expect((await backups.state()).kept).toHaveLength(1);
    backups.erased(gone);
    await settled();
    expect(told).toHaveLength(2);
  });

  it("[L118] on a disk that does not answer hold up nobody: it is said until it answers, and the copy is made then", async () => {
    const told: Fault[] = [];
    const { clock, pass } = aClock();
    let answer: (() => void) | undefined;
    const hangs = new Promise<void>((done) => {
      answer = done;
    });
    const make = async (there: string) => {
      await hangs;
      return diskHere.make(there);
    };
    const onFailed = (fault: Fault) => void told.push(fault);
    const disk = { ...diskHere, make };
    const backups = new Backups({ folder, everyMinutes: 10, copy, onFailed, disk }, clock);
    const asked = backups.now();
    await settled();
    expect(told).toEqual([]);
    pass(10_000);
    await asked;
    const silent: Fault = {
      code: "BACKUP_FAILED",
      with: { why: "silent", file: folder, detail: "" },
    };
    expect(told).toEqual([silent]);
    expect((await backups.state()).failed?.fault).toEqual(silent);
    // Whoever asks meanwhile does not wait, and however often: one copy follows.
    for (let at = 0; at < 5; at++) await backups.now();
    backups.erased(gone);
    await expect(backups.newest()).rejects.toThrow("BACKUP_FAILED");
    expect(told).toEqual([silent]);
    answer?.();
    pass(MINUTES);
    await settled();
    expect(readdirSync(folder)).toEqual(["evenhand-20260606T100110000Z-0000000c.sqlite"]);
    expect(await backups.state()).toMatchObject({ failed: null, kept: [{}] });
  });

  it("[L118] that a disk holds up while they are written are told too, and the hub ends without them", async () => {
    const told: Fault[] = [];
    const { clock, pass } = aClock();
    const never = () => new Promise<void>(() => undefined);
    let isClosed = false;
    const backups = new Backups(
      {
        folder,
        everyMinutes: 10,
        copy: never,
        onFailed: (fault) => void told.push(fault),
        closeDisk: () => {
          isClosed = true;
        },
      },
      clock,
    );
    backups.stored(true);
    await settled();
    pass(MINUTES);
    expect(told.map((fault) => fault.with?.why)).toEqual(["silent"]);
    backups.stored(false);
    await backups.close();
    expect(isClosed).toBe(true);
  });

  it.each(["is being made", "is the last one"])(
    "[L118] hold up the end of a hub no longer than anything else, where the disk freezes while one %s",
    async (which) => {
      const told: Fault[] = [];
      const { clock, pass } = aClock();
      let isFrozen = which === "is being made";
      const freezes = () => (isFrozen ? new Promise<void>(() => undefined) : Promise.resolve());
      const onFailed = (fault: Fault) => void told.push(fault);
      const backups = new Backups({ folder, everyMinutes: 10, copy: freezes, onFailed }, clock);
      backups.stored(isFrozen);
      await settled();
      isFrozen = true;
      let isEnded = false;
      const ended = backups.close().then(() => {
        isEnded = true;
      });
      await settled();
      pass(9_000);
      await settled();
      expect(isEnded).toBe(false);
      expect(told).toEqual([]);
      pass(1_000);
      await ended;
      expect(told.map((fault) => fault.with?.why)).toEqual(["silent"]);
      // Nothing is told after the end, however long it hangs.
      pass(MINUTES);
      expect(told).toHaveLength(1);
    },
  );

  it("[L118] are looked for at the start of a hub, which does not wait for their disk", async () => {
    const { clock, pass } = aClock();
    const never = () => new Promise<never>(() => undefined);
    const disk = { ...diskHere, look: never };
    const backups = new Backups({ folder, everyMinutes: 10, copy, disk }, clock);
    const begun = backups.belongsTo("aaaaaaaa");
    backups.beginsWithout(gone);
    pass(10_000);
    await begun;
    expect(await backups.state()).toMatchObject({ kept: [], failed: { fault: { with: {} } } });
    await backups.close();
  });

  it("[L119] of which one cannot be removed go all the same, and that one is named until it is gone", async () => {
    const told: Fault[] = [];
    const { clock, pass } = aClock();
    let locked = "";
    const remove = async (file: string) => {
      if (basename(file) === locked) throw Object.assign(new Error("no"), { code: "EPERM" });
      return diskHere.remove(file);
    };
    const disk = { ...diskHere, remove };
    const onFailed = (fault: Fault) => void told.push(fault);
    const backups = new Backups({ folder, everyMinutes: 10, copy, onFailed, disk }, clock);
    for (let at = 0; at < 4; at++) {
      await backups.now();
      pass(MINUTES);
    }
    locked = readdirSync(folder).sort().at(-2) ?? "";
    backups.erased(gone);
    await settled();
    const made = "evenhand-20260606T100400000Z-0000000c.sqlite";
    expect(readdirSync(folder).sort()).toEqual([locked, made]);
    const stays: Fault = {
      code: "BACKUP_FAILED",
      with: { why: "stays", file: join(folder, locked), detail: "EPERM" },
    };
    expect(told).toEqual([stays]);
    expect(await backups.state()).toMatchObject({ failed: null, stays });
    for (let at = 0; at < 20; at++) {
      pass(MINUTES);
      await backups.now();
    }
    expect(readdirSync(folder)).toHaveLength(13);
    expect(told).toEqual([stays]);
    locked = "";
    await backups.now();
    expect(await backups.state()).toMatchObject({ failed: null, stays: null });
  });

  it("[L119] are files: what else lies there under such a name is left alone", async () => {
    const { clock } = aClock();
    const older = (minute: number) => join(folder, `evenhand-20260606T08${minute}00000Z.sqlite`);
    mkdirSync(older(10));
    mkdirSync(`${older(11)}.part`);
    symlinkSync("/dev/zero", older(12));
    symlinkSync("nowhere", `${older(13)}.part`);
    execFileSync("sh", ["-c", `mkfifo ${older(14)}`]);
    const looked: string[] = [];
    const disk: CopiesDisk = {
      ...diskHere,
      whose: async (one) => {
        looked.push(one);
        return undefined;
      },
    };
    const backups = new Backups({ folder, everyMinutes: 10, copy, disk }, clock);
    await backups.belongsTo("aaaaaaaa");
    backups.erased(gone);
    await settled();
    expect(looked).toEqual([]);
    expect(await backups.state()).toMatchObject({ failed: null, stays: null, kept: [{}] });
    expect(readdirSync(folder)).toHaveLength(6);
  });

  it("[L107] are looked at again where one was half there the first time", async () => {
    const looked: string[][] = [];
    const findAhead = async (copies: readonly string[]) => {
      looked.push(copies.map((one) => basename(one)));
      return { ahead: [], unread: [] };
    };
    const backups = new Backups({ folder, everyMinutes: 10, copy, findAhead }, aClock().clock);
    const best = "evenhand-20260606T090000000Z.sqlite";
    for (const content of ["half", "half and half", "half and half"]) {
      writeFileSync(join(folder, best), content);
      await backups.now();
    }
    expect(looked).toEqual([[best], [best]]);
  });

  it.each(["is killed", "does not give it"])(
    "[L120] let none go that was not read to the end, and look at it again with the next (the disk %s)",
    async (how) => {
      const { clock, pass } = aClock();
      const told: Fault[] = [];
      const more = "evenhand-20260605T100000000Z.aaaaaaaa.sqlite";
      const fault: Fault = { code: "COPY_AHEAD", with: { file: more, count: 3 } };
      let isGiven = false;
      let room = 0;
      const findAhead = async (copies: readonly string[]): Promise<LookedAt> => {
        if (isGiven) return thisAhead(copies, more, fault);
        if (how === "is killed") throw new Error("ended with SIGKILL");
        return { ahead: [], unread: copies };
      };
      const settings = {
        ...{ folder, everyMinutes: 0, findAhead },
        copy: async (file: string) => {
          if (room-- < 0) throw new Error("no room");
          await copy(file);
        },
        disk: { ...diskHere, freeBytes: async () => 0 },
        onFailed: (one: Fault) => void told.push(one),
      };
      for (let day = 1; day < 5; day++)
        writeFileSync(join(folder, more.replace("0605", `060${day}`)), "copy");
      writeFileSync(join(folder, more), "copy");
      const backups = new Backups(settings, clock);
      expect(await backups.belongsTo("aaaaaaaa")).toBeUndefined();
      // Neither to make room, nor for being of before an erasing, nor for being many.
      room = -1;
      await backups.now();
      room = 30;
      backups.erased(gone);
      for (let at = 0; at < 20; at++) {
        await settled();
        pass(MINUTES);
        await backups.now();
      }
      expect(readdirSync(folder).filter((file) => file < more).length).toBe(4);
      expect((await backups.state()).holding).toBe(more);
      isGiven = true;
      told.length = 0;
      pass(MINUTES);
      await backups.now();
      expect(told).toEqual([fault]);
      expect((await backups.state()).ahead).toEqual(fault);
      expect(readdirSync(folder).filter((file) => file <= more)).toEqual([more]);
    },
  );

  it("[L120] that are read late at the start are told then, and none goes before", async () => {
    const { clock, pass } = aClock();
    const told: Fault[] = [];
    const more = "evenhand-20260605T100000000Z.aaaaaaaa.sqlite";
    const fault: Fault = { code: "COPY_AHEAD", with: { file: more, count: 3 } };
    writeFileSync(join(folder, more), "copy");
    let answer: (() => void) | undefined;
    const hangs = new Promise<void>((done) => {
      answer = done;
    });
    const looked: number[] = [];
    const look = async (there: string) => {
      await hangs;
      return diskHere.look(there);
    };
    const backups = new Backups(
      {
        ...{ folder, everyMinutes: 0, copy, disk: { ...diskHere, look } },
        async findAhead(copies) {
          looked.push(copies.length);
          await settled();
          return thisAhead(copies, more, fault);
        },
        onFailed: (one) => void told.push(one),
      },
      clock,
    );
    const begun = backups.belongsTo("aaaaaaaa");
    pass(10_000);
    expect(await begun).toBeUndefined();
    backups.beginsWithout(gone);
    expect(told.map(({ code }) => code)).toEqual(["BACKUP_FAILED"]);
    answer?.();
    await vi.waitFor(() => expect(readdirSync(folder)).toHaveLength(2));
    await settled();
    expect(told.slice(1)).toEqual([fault]);
    expect(looked).toEqual([1]);
    expect(readdirSync(folder)).toContain(more);
  });

  it("[L112] are counted without what cannot be looked at", async () => {
    const backups = new Backups({ folder, everyMinutes: 10, copy }, aClock().clock);
    symlinkSync(join(folder, "nowhere"), join(folder, "evenhand-20260606T090000000Z.sqlite"));
    await backups.now();
    expect(await backups.state()).toMatchObject({ failed: null, kept: [{}] });
  });

  it("[L110] are not made on the disk beneath where their stick was pulled out, and again when it is back", async () => {
    const told: Fault[] = [];
    const stick = join(folder, "stick");
    const onFailed = (fault: Fault) => void told.push(fault);
    const backups = new Backups(
      { folder: stick, everyMinutes: 10, copy, onFailed },
      aClock().clock,
    );
    await backups.now();
    expect(readdirSync(stick)).toHaveLength(1);
    // The mount point stays; under it lies another disk.
    renameSync(stick, join(folder, "pulled"));
    await backups.now();
    expect(told).toEqual([{ code: "COPIES_GONE", with: { folder: stick } }]);
    expect(existsSync(stick)).toBe(false);
    expect((await backups.state()).failed?.fault).toEqual(told[0]);
    renameSync(join(folder, "pulled"), stick);
    await backups.now();
    expect(await backups.state()).toMatchObject({ failed: null });
    // Whoever takes the copies away from where they are made has not pulled out anything.
    for (const file of readdirSync(stick)) rmSync(join(stick, file));
    await backups.now();
    expect(readdirSync(stick)).toHaveLength(1);
  });

  it("[L17] are made so often while something new comes, and not while nothing does", async () => {
    const { clock, pass } = aClock();
    const backups = new Backups({ folder, everyMinutes: 10, copy }, clock);
    pass(60 * MINUTES);
    await settled();
    expect(readdirSync(folder)).toEqual([]);
    backups.stored(false);
    pass(9 * MINUTES);
    backups.stored(false);
    await settled();
    expect(readdirSync(folder)).toEqual([]);
    pass(MINUTES);
    await settled();
    expect(readdirSync(folder)).toEqual(["evenhand-20260606T111000000Z.sqlite"]);
    expect((await backups.newest())?.file).toBe(
      join(folder, "evenhand-20260606T111000000Z.sqlite"),
    );
  });

  it("[L105] in one folder are each hub's own: neither thins, erases in, or gives out the other's, whoever made them without a mark", async () => {
    const { clock, pass } = aClock();
    const of = { one: "0000000a", other: "0000000b" };
    const whose = async (file: string) =>
      readFileSync(file, "utf8") === "other" ? of.other : of.one;
    const hub = (said: keyof typeof of) =>
      new Backups(
        {
          folder,
          everyMinutes: 10,
          copy: async (file) => writeFileSync(file, said),
          disk: { ...diskHere, whose },
        },
        clock,
      );
    // From before copies had a mark, and one that cannot be read.
    writeFileSync(join(folder, "evenhand-20260606T080000000Z.sqlite"), "other");
    writeFileSync(join(folder, "evenhand-20260606T090000000Z.sqlite"), "one");
    const [one, other] = [hub("one"), hub("other")];
    await one.belongsTo(of.one);
    expect((await one.state()).kept.map(({ file }) => file)).toEqual([
      "evenhand-20260606T090000000Z.0000000a.sqlite",
    ]);
    await other.belongsTo(of.other);
    expect((await other.newest())?.file).toBe(
      join(folder, "evenhand-20260606T080000000Z.0000000b.sqlite"),
    );
    pass(MINUTES);
    one.erased(gone);
    await one.now();
    expect((await one.state()).kept).toHaveLength(1);
    expect((await other.state()).kept).toHaveLength(1);
    expect(readFileSync((await one.newest())?.file ?? "", "utf8")).toBe("one");
    expect(readFileSync((await other.newest())?.file ?? "", "utf8")).toBe("other");
    // Whoever looks for a copy of a store that cannot be opened does not know whose to look for.
    expect((await new Backups({ folder, everyMinutes: 0, copy }, clock).state()).kept).toHaveLength(
      2,
    );
  });

  it("[L103] in which a test is damaged are kept two at a time, and the sound ones of before stay", async () => {
    const { clock, pass } = aClock();
    let made: "damaged" | undefined;
    const backups = new Backups(
      {
        folder,
        everyMinutes: 0,
        copy: async (file) => {
          await copy(file);
          return made;
        },
      },
      clock,
    );
    for (let at = 0; at < 3; at++) {
      await backups.now();
      pass(MINUTES);
    }
    const sound = readdirSync(folder);
    made = "damaged";
    for (let at = 0; at < 20; at++) {
      await backups.now();
      pass(DAYS);
    }
    const kept = readdirSync(folder);
    expect(kept.filter((file) => !file.includes("damaged"))).toEqual(sound);
    expect(kept.length).toBe(sound.length + 2);
    expect((await backups.state()).failed).toBeNull();
    expect((await backups.newest())?.file).toContain("damaged");
    // Somebody is erased: the last sound one stays, and it is said that it holds them.
    backups.erased(gone);
    await settled();
    pass(MINUTES);
    await backups.now();
    const left = readdirSync(folder).filter((file) => !file.includes("damaged"));
    expect(left).toEqual(sound.slice(-1));
    expect((await backups.state()).holding).toBe(left[0]);
    // When the test is mended it goes.
    made = undefined;
    pass(MINUTES);
    await backups.now();
    expect(readdirSync(folder)).not.toContain(left[0]);
    expect((await backups.state()).holding).toBeNull();
  });

  it.each(["at the start", "later, on a stick"])(
    "[L107] let one go that holds more than the store by hand alone, and say so as long as it is there (%s)",
    async (when) => {
      const { clock, pass } = aClock();
      const ahead = "evenhand-20260605T100000000Z.aaaaaaaa.sqlite";
      const fault: Fault = { code: "COPY_AHEAD", with: { file: ahead, count: 3 } };
      const told: Fault[] = [];
      const backups = new Backups(
        {
          folder,
          everyMinutes: 0,
          copy,
          onFailed: (one) => void told.push(one),
          findAhead: async (copies) => thisAhead(copies, ahead, fault),
        },
        clock,
      );
      const puts = () => writeFileSync(join(folder, ahead), "copy");
      if (when === "at the start") puts();
      await backups.belongsTo("aaaaaaaa");
      await backups.now();
      if (when !== "at the start") puts();
      for (let at = 0; at < 20; at++) {
        pass(MINUTES);
        await backups.now();
      }
      backups.erased(gone);
      await settled();
      pass(MINUTES);
      await backups.now();
      expect(readdirSync(folder)).toContain(ahead);
      expect((await backups.state()).ahead).toEqual(fault);
      // At its start the hub says so itself.
      expect(told).toEqual(when === "at the start" ? [] : [fault]);
      rmSync(join(folder, ahead));
      expect((await backups.state()).ahead).toBeNull();
    },
  );

  it("[H164] are begun no more where the hub never was", async () => {
    const { clock, pass } = aClock();
    let told = 0;
    const failing = async () => {
      throw new Error("no room");
    };
    const backups = new Backups(
      { folder, everyMinutes: 10, copy: failing, onFailed: () => told++ },
      clock,
    );
    backups.stored(true);
    backups.giveUp();
    await settled();
    pass(60 * MINUTES);
    await settled();
    expect(told).toBe(0);
  });

  it("[L17] that fail for want of their own process are told as copies that could not be made", async () => {
    const make = async () => {
      throw new Error("its process ended with SIGKILL");
    };
    const disk = { ...diskHere, make };
    const backups = new Backups({ folder, everyMinutes: 0, copy, disk }, aClock().clock);
    await backups.now();
    expect((await backups.state()).failed?.fault).toEqual({
      code: "BACKUP_FAILED",
      with: { why: "other", file: folder, detail: "its process ended with SIGKILL" },
    });
  });

  it("[L17] are made at once when a test is closed, and at the end where something is new", async () => {
    const { clock, pass } = aClock();
    const backups = new Backups({ folder, everyMinutes: 10, copy }, clock);
    backups.stored(true);
    await settled();
    expect(readdirSync(folder)).toHaveLength(1);
    pass(1000);
    await backups.close();
    expect(readdirSync(folder)).toHaveLength(1);
    backups.stored(false);
    await backups.close();
    expect(readdirSync(folder)).toHaveLength(2);
  });

  it("[L17] keep the newest twelve and the newest of each of seven days", async () => {
    const { clock, pass } = aClock();
    const backups = new Backups({ folder, everyMinutes: 10, copy }, clock);
    for (let day = 0; day < 9; day++) {
      for (let one = 0; one < 3; one++) {
        await backups.now();
        pass(MINUTES);
      }
      pass(DAYS);
    }
    const days = readdirSync(folder).map((file) => file.slice(9, 17));
    expect(days).toHaveLength(15);
    expect(new Set(days).size).toBe(7);
    expect(days.filter((one) => one === days.at(-1))).toHaveLength(3);
  });

  it("[L17] that fail are told with their fault, harm nobody, and are tried again", async () => {
    const { clock, pass } = aClock();
    let isFull = true;
    const fickle = async (file: string) => {
      if (isFull) throw new FaultError({ code: "STORE_FULL", with: { file } });
      await copy(file);
    };
    const backups = new Backups({ folder, everyMinutes: 10, copy: fickle }, clock);
    backups.stored(true);
    await settled();
    expect(await backups.state()).toMatchObject({
      kept: [],
      failed: { fault: { code: "STORE_FULL" } },
    });
    isFull = false;
    pass(1);
    await backups.close();
    expect(await backups.state()).toMatchObject({ failed: null });
    expect((await backups.state()).kept).toHaveLength(1);
  });

  it("[L15] from before an erasing go once there is one from after it, and not before", async () => {
    const { clock, pass } = aClock();
    let isFull = false;
    const fickle = async (file: string) => {
      if (isFull) throw new Error("no room");
      await copy(file);
    };
    const backups = new Backups({ folder, everyMinutes: 10, copy: fickle }, clock);
    await backups.now();
    pass(MINUTES);
    isFull = true;
    backups.erased(gone);
    await settled();
    expect(readdirSync(folder)).toHaveLength(1);
    isFull = false;
    pass(MINUTES);
    await backups.now();
    expect(readdirSync(folder)).toEqual(["evenhand-20260606T100200000Z-0000000c.sqlite"]);
  });

  it("[L15] from before an erasing go also where the hub was stopped since, or the erasing was by command", async () => {
    const { clock, pass } = aClock();
    await new Backups({ folder, everyMinutes: 10, copy }, clock).now();
    pass(DAYS);
    const started = new Backups({ folder, everyMinutes: 10, copy }, clock);
    started.beginsWithout(gone);
    await settled();
    expect(readdirSync(folder)).toEqual(["evenhand-20260607T100000000Z-0000000c.sqlite"]);
    // The next start finds nothing to forget, and makes no copy for it.
    pass(DAYS);
    new Backups({ folder, everyMinutes: 10, copy }, clock).beginsWithout(gone);
    await settled();
    expect(readdirSync(folder)).toHaveLength(1);
  });

  it.each([
    ["a minute behind", -MINUTES],
    ["a day behind", -DAYS],
    ["years behind", -3000 * DAYS],
    ["years ahead", 3000 * DAYS],
  ])(
    "[L104] [L114] from before an erasing go whatever time it was by a clock that was %s, and those from after it stay",
    async (_, offMs) => {
      const { clock, pass } = aClock();
      let isOut = false;
      const fickle = async (file: string) => {
        if (isOut) throw new Error("the stick is out");
        await copy(file);
      };
      const backups = new Backups({ folder, everyMinutes: 10, copy: fickle }, clock);
      for (let at = 0; at < 2 * 12; at++) {
        await backups.now();
        pass(MINUTES);
      }
      const before = readdirSync(folder);
      pass(offMs);
      isOut = true;
      backups.erased(gone);
      await settled();
      expect(readdirSync(folder)).toEqual(before);
      pass(-offMs);
      isOut = false;
      await backups.now();
      expect(readdirSync(folder).filter((file) => before.includes(file))).toEqual([]);
      // One that is made by that clock stays, and so do those of before it.
      pass(2 * MINUTES + offMs);
      await backups.now();
      expect(readdirSync(folder)).toHaveLength(2);
      expect(await backups.state()).toMatchObject({ failed: null, holding: null });
    },
  );

  it("[L114] that are begun while somebody is erased go too, and the last is made by a clock that went back", async () => {
    const { clock, pass } = aClock();
    let go: (() => void) | undefined;
    const slow = async (file: string) => {
      await new Promise<void>((done) => {
        go = done;
      });
      await copy(file);
    };
    const backups = new Backups({ folder, everyMinutes: 10, copy: slow }, clock);
    void backups.now();
    await settled();
    backups.erased(gone);
    pass(-30 * DAYS);
    go?.();
    await settled();
    expect(readdirSync(folder)).toEqual(["evenhand-20260606T100000000Z.sqlite"]);
    go?.();
    await settled();
    expect(readdirSync(folder)).toEqual(["evenhand-20260507T100000000Z-0000000c.sqlite"]);
  });

  it("[L114] that hold somebody erased and more than the store are named, for they do not go", async () => {
    const { clock, pass } = aClock();
    const more = "evenhand-20260605T100000000Z.aaaaaaaa.sqlite";
    const fault: Fault = { code: "COPY_AHEAD", with: { file: more, count: 3 } };
    const findAhead = async (copies: readonly string[]) => thisAhead(copies, more, fault);
    const backups = new Backups({ folder, everyMinutes: 10, copy, findAhead }, clock);
    writeFileSync(join(folder, more), "copy");
    await backups.belongsTo("aaaaaaaa");
    expect((await backups.state()).holding).toBeNull();
    backups.erased(gone);
    await settled();
    pass(MINUTES);
    expect(readdirSync(folder)).toContain(more);
    expect((await backups.state()).holding).toBe(more);
  });

  it("[L15] from before an erasing go also where a clock was ahead when they were made", async () => {
    const { clock, pass } = aClock();
    const backups = new Backups({ folder, everyMinutes: 10, copy }, clock);
    await backups.now();
    for (const ahead of ["20260606T102000000Z", "20260608T100000000Z"])
      writeFileSync(join(folder, `evenhand-${ahead}.sqlite`), "");
    pass(MINUTES);
    backups.erased(gone);
    await settled();
    expect(readdirSync(folder)).toEqual(["evenhand-20260606T100100000Z-0000000c.sqlite"]);
  });

  it("[L17] that failed are made when there is room again, though nothing more came; the terminal hears of it once", async () => {
    const { clock, pass } = aClock();
    let isFull = true;
    const told: string[] = [];
    const fickle = async (file: string) => {
      if (isFull) throw new FaultError({ code: "STORE_FULL", with: { file } });
      await copy(file);
    };
    const onFailed = ({ code }: Fault) => void told.push(code);
    const backups = new Backups({ folder, everyMinutes: 10, copy: fickle, onFailed }, clock);
    backups.stored(true);
    await settled();
    pass(10 * MINUTES);
    await settled();
    expect(told).toEqual(["STORE_FULL"]);
    isFull = false;
    pass(10 * MINUTES);
    await settled();
    expect(await backups.state()).toMatchObject({ failed: null });
    expect((await backups.state()).kept).toHaveLength(1);
  });

  it("[L15] leave no half of a copy behind that was killed, for names are in it", async () => {
    const { clock } = aClock();
    const torn = "evenhand-20260606T090000000Z.sqlite.part";
    const written = "evenhand-20260606T095900000Z.sqlite.part";
    for (const [file, minutes] of [
      [torn, 60],
      [written, 1],
    ] as const) {
      writeFileSync(join(folder, file), "Anya");
      const at = new Date(clock.nowMs() - minutes * MINUTES);
      utimesSync(join(folder, file), at, at);
    }
    writeFileSync(join(folder, "holiday.part"), "somebody else's");
    await new Backups({ folder, everyMinutes: 10, copy }, clock).now();
    // Another hub may be copying into the same folder: what was written to a minute ago is its.
    expect(readdirSync(folder).sort()).toEqual([
      written,
      "evenhand-20260606T100000000Z.sqlite",
      "holiday.part",
    ]);
  });

  it("[H59] of a clock that was years ahead take nobody's place", async () => {
    const { clock, pass } = aClock();
    for (let minute = 10; minute < 40; minute++)
      writeFileSync(join(folder, `evenhand-20360606T10${minute}00000Z.sqlite`), "wrong");
    const backups = new Backups({ folder, everyMinutes: 10, copy }, clock);
    for (let time = 0; time < 3; time++) {
      backups.stored(true);
      await settled();
      pass(MINUTES);
    }
    const { kept } = await backups.state();
    expect(kept.slice(0, 3).every(({ file }) => file.includes("-2026"))).toBe(true);
    expect((await backups.newest())?.file).toContain("20260606T1002");
  });
});
