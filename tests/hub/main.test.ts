import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { deviceOf } from "../../src/book/counts.ts";
import type { CountId, DeviceId, GradingId } from "../../src/book/identity.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { backUp } from "../../src/hub/store/backup.ts";
import { openErasedLog } from "../../src/hub/store/erased-log.ts";
import type { BackupState } from "../../src/line/doors.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";

let folder = "";
const running: RunningHub[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-start-"));
});
afterEach(async () => {
  for (const hub of running.splice(0)) await hub.close();
  rmSync(folder, { recursive: true });
});

async function start(
  more: { port?: number; tabletFolder?: string; data?: string; copies?: string } = {},
) {
  const { port = 0, tabletFolder, data = "data", copies } = more;
  const hub = await startHub({
    port,
    host: "127.0.0.1",
    dataFolder: join(folder, data),
    ...(tabletFolder ? { tabletFolder } : {}),
    ...(copies && {
      backups: {
        folder: join(folder, copies),
        everyMinutes: 0,
        copy: async (file: string) => backUp(join(folder, data, "evenhand.sqlite"), file),
      },
    }),
  });
  running.push(hub);
  return hub;
}

describe("starting a hub", () => {
  it("[H17] says that the port is taken, and leaves the other hub alone", async () => {
    const first = await start();
    await expect(start({ port: first.port, data: "other" })).rejects.toThrow(/PORT_IN_USE/);
    const health = await fetch(`http://127.0.0.1:${first.port}/health`);
    expect(await health.json()).toMatchObject({ status: "ok", store: "sqlite" });
  });

  it("[H17] says that the database is damaged, and that the folder cannot be used", async () => {
    mkdirSync(join(folder, "data"));
    writeFileSync(join(folder, "data", "evenhand.sqlite"), "scribble ".repeat(2000));
    await expect(start()).rejects.toThrow(/STORE_DAMAGED/);
    writeFileSync(join(folder, "file"), "");
    await expect(start({ data: "file" })).rejects.toThrow(/STORE_LOST/);
  });

  it("[H17] says that another hub has the folder, and takes it once that one is gone", async () => {
    const first = await start();
    await expect(start()).rejects.toThrow(/STORE_IN_USE/);
    const health = await fetch(`http://127.0.0.1:${first.port}/health`);
    expect(health.status).toBe(200);
    await running.pop()?.close();
    await start();
    expect(readdirSync(join(folder, "data")).filter((name) => /journal/.test(name))).toEqual([]);
  });

  it("[L107, H184] says that its newest copy holds more than it does, after an older store was put in its place: to the line in the terminal, to its chief in round numbers", async () => {
    const day = aTestDay();
    const file = join(folder, "data", "evenhand.sqlite");
    const keep = async (lines: typeof day.plan) => {
      const hub = await start({ copies: "copies" });
      expect(hub.behind).toEqual([]);
      const chief = { person: "chief", roles: ["chief"], device: day.chief.device } as never;
      const room = await hub.rooms.room(aGradingId);
      expect((await room.handIn(chief, lines)).refused).toEqual([]);
      await running.pop()?.close();
    };
    await keep(day.plan.slice(0, 5));
    copyFileSync(file, join(folder, "older"));
    await keep(day.plan.slice(5));
    copyFileSync(join(folder, "older"), file);
    // Also when it has made copies of what it holds now.
    for (let time = 0; time < 3; time++) {
      const hub = await start({ copies: "copies" });
      expect(hub.behind).toMatchObject([
        { code: "COPY_AHEAD", with: { count: day.plan.length - 5 } },
      ]);
      const chief = await hub.desk.makeChief("hub-chief" as DeviceId);
      const copied = await fetch(`http://127.0.0.1:${hub.port}/api/backups`, {
        method: "POST",
        headers: { authorization: `Bearer ${chief.token}` },
      });
      expect(copied.status).toBe(200);
      const { backups } = (await copied.json()) as { backups: BackupState };
      expect(backups.ahead).toMatchObject({ code: "COPY_AHEAD", with: { count: 100 } });
      await running.pop()?.close();
    }
  });

  it("[L107] says so of lines that did not come again, however far the test went on", async () => {
    const day = aTestDay();
    const [first, second] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
    const file = join(folder, "data", "evenhand.sqlite");
    const take = async (by: string, roles: string[], lines: { device: string }[]) => {
      const hub = running.at(-1) as RunningHub;
      const room = await hub.rooms.room(aGradingId);
      const device = deviceOf((lines[0] as { device: CountId }).device);
      const author = { person: by, roles, device } as never;
      expect((await room.handIn(author, lines)).refused).toEqual([]);
    };
    await start({ copies: "copies" });
    await take("chief", ["chief"], day.plan);
    await running.pop()?.close();
    copyFileSync(file, join(folder, "older"));
    await start({ copies: "copies" });
    await take(first.person, ["judge"], [aMark(first.pen), aMark(first.pen, { level: 4 })]);
    await running.pop()?.close();
    copyFileSync(join(folder, "older"), file);
    await start({ copies: "copies" });
    const more = [aMark(second.pen), aMark(second.pen, { level: 4 }), aMark(second.pen)];
    await take(second.person, ["judge"], more);
    await running.pop()?.close();
    const hub = await start({ copies: "copies" });
    expect(hub.behind).toMatchObject([{ code: "COPY_AHEAD", with: { count: 2 } }]);
  });

  it("[L100] names the notes beside the store that are not as they were written", async () => {
    await start();
    await running.pop()?.close();
    const notes = join(folder, "data", "erased.jsonl");
    openErasedLog(join(folder, "data")).note("grading" as GradingId, "candidate-1", 0);
    writeFileSync(notes, readFileSync(notes, "utf8").replace("candidate-1", "candidate-2"));
    const { damagedNotes } = await start();
    expect(damagedNotes).toEqual([{ code: "NOTE_DAMAGED", with: { file: notes, line: 1 } }]);
  });

  it("[H155] says that its own key is damaged, and can be started again when it is as it was", async () => {
    await start();
    await running.pop()?.close();
    const data = join(folder, "data");
    const change = (to: (key: string) => string): string => {
      const database = new Database(join(data, "evenhand.sqlite"));
      const where = "where name = 'private-key'";
      const { value } = database.prepare(`select value from settings ${where}`).get() as {
        value: string;
      };
      database.prepare(`update settings set value = ? ${where}`).run(to(value));
      database.close();
      return value;
    };
    const key = change((own) =>
      own.replace(/[\w+/](?=\n-----END)/, (letter) => (letter === "A" ? "B" : "A")),
    );
    for (let time = 0; time < 2; time++) await expect(start()).rejects.toThrow(/KEY_DAMAGED/);
    expect(existsSync(join(data, "evenhand.sqlite-open"))).toBe(false);
    change(() => key);
    await start();
  });

  it("[L63] misses the log also where somebody read the file when the hub ended", async () => {
    await start();
    await running.at(-1)?.desk.newKey();
    const file = join(folder, "data", "evenhand.sqlite");
    const reader = new Database(file);
    reader.exec("BEGIN");
    reader.prepare("SELECT count(*) FROM settings").get();
    const { token } = (await running.at(-1)?.desk.makeChief("laptop" as DeviceId)) ?? {};
    expect(token).toBeDefined();
    await running.pop()?.close();
    expect(statSync(`${file}-wal`).size).toBeGreaterThan(0);
    copyFileSync(file, join(folder, "alone.sqlite"));
    reader.exec("COMMIT");
    reader.close();
    for (const rest of ["", "-wal", "-shm"]) rmSync(`${file}${rest}`, { force: true });
    copyFileSync(join(folder, "alone.sqlite"), file);
    await expect(start()).rejects.toThrow(/STORE_LOG_GONE/);
  });

  it("[H17] lets the folder go when it cannot start", async () => {
    const first = await start({ data: "other" });
    await expect(start({ port: first.port })).rejects.toThrow(/PORT_IN_USE/);
    await start();
  });

  it("[H6] remembers its chief and its own name over a restart", async () => {
    const before = await start();
    const { token } = await before.desk.makeChief("laptop" as DeviceId);
    await before.desk.makeGrading(token, anId("g1"), "laptop" as DeviceId);
    const { fingerprint } = before.desk;
    const code = await before.desk.code(anId("g1"));
    expect(await before.desk.isUnclaimed()).toBe(false);
    await running.pop()?.close();
    const after = await start();
    expect(await after.desk.isUnclaimed()).toBe(false);
    expect(after.desk.fingerprint).toBe(fingerprint);
    expect(await after.desk.code(anId("g1"))).toBe(code);
    expect((await after.desk.chiefOf(token, anId("g1"))).roles).toEqual(["chief"]);
  });

  it("[H18] serves the app at every address of its own, and never in place of the hub's answers", async () => {
    const tabletFolder = join(folder, "tablet");
    mkdirSync(join(tabletFolder, "assets"), { recursive: true });
    writeFileSync(join(tabletFolder, "index.html"), "<p>the app</p>");
    writeFileSync(join(tabletFolder, "assets", "app-1a2b.js"), "1");
    const hub = await start({ tabletFolder });
    const get = (path: string, accept = "text/html") =>
      fetch(`http://127.0.0.1:${hub.port}${path}`, { headers: { accept } });
    for (const path of ["/", "/join", "/tests/g1/judge"]) {
      const page = await get(path);
      expect([path, await page.text()]).toEqual([path, "<p>the app</p>"]);
      expect(page.headers.get("cache-control")).toBe("no-cache");
    }
    expect((await get("/assets/app-1a2b.js")).headers.get("cache-control")).toContain("immutable");
    expect((await get("/assets/gone.js", "*/*")).status).toBe(404);
    expect((await get("/api/nothing")).status).toBe(404);
    const outside = await get("/..%2fdata%2fevenhand.sqlite");
    expect(await outside.text()).not.toContain("SQLite");
  });
});
