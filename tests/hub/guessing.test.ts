import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { DeviceId, GradingId } from "../../src/book/identity.ts";
import { buildHub, type Hub } from "../../src/hub/build-hub.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { platformClock } from "../../src/ports/clock.ts";
import { AHub } from "../builders/a-hub.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

let hub: Hub;
let database: Database.Database;
let nowMs = 0;
let token: string;
const grading = "g1" as GradingId;

beforeEach(async () => {
  nowMs = 1000;
  database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), () => nowMs);
  hub = await buildHub({
    store: openMemoryScorebook(),
    storeName: "memory",
    version: "0",
    desk,
    clock: { ...platformClock, nowMs: () => nowMs, steadyMs: () => nowMs },
  });
  ({ token } = await desk.makeChief("laptop" as DeviceId));
  await desk.makeGrading(token, grading, "laptop" as DeviceId);
});
afterEach(async () => {
  await hub.app.close();
  database.close();
});

const post = async (url: string, payload: object, remoteAddress = "10.0.0.1") => {
  const answer = await hub.app.inject({ method: "POST", url, payload, remoteAddress });
  return { status: answer.statusCode, code: answer.json().code as string };
};
const join = (code: string, from: string, device = "tablet") =>
  post("/api/join", { code, device, name: "Tablet", wants: "judge" }, from);
/** As many addresses as a hall full of tablets, or a thousand of them. */
const from = (nth: number) => `10.${(nth >> 16) & 255}.${(nth >> 8) & 255}.${nth & 255}`;

describe("guessing", () => {
  it("[H31] is slowed down also from a thousand addresses, for codes and keys together", async () => {
    const found: number[] = [];
    for (let nth = 0; nth < 1000; nth++) {
      const isKey = nth % 2 === 1;
      const { status } = isKey
        ? await post("/api/claim", { key: `KEY${nth}`, device: "d" }, from(nth))
        : await join("WRONG2", from(nth));
      found.push(status);
    }
    const tried = found.filter((status) => status === 403).length;
    expect(tried).toBeGreaterThanOrEqual(60);
    expect(tried).toBeLessThanOrEqual(150);
    expect(found.slice(tried).every((status) => status === 429)).toBe(true);
    // An hour of it is some two thousand tries, of 244 million codes.
    nowMs += 60 * 60 * 1000;
    const later: number[] = [];
    for (let nth = 0; nth < 1000; nth++)
      later.push((await join("WRONG2", from(5000 + nth))).status);
    expect(later.filter((status) => status === 403).length).toBeLessThanOrEqual(150);
  });

  it("[H31] many tries at one moment are many tries", async () => {
    const all = Array.from({ length: 400 }, (_, nth) => join("WRONG2", from(nth)));
    const tried = (await Promise.all(all)).filter(({ status }) => status === 403).length;
    expect(tried).toBeLessThanOrEqual(150);
  });

  it("[H31] a hall that types well is never slowed down", async () => {
    const code = await hub.desk.code(grading);
    for (let nth = 0; nth < 500; nth++)
      expect((await join(code, from(nth), `tablet-${nth}`)).status).toBe(200);
  });

  it("[H31] a code claims no hub, a key joins no test, and neither is a token", async () => {
    const code = await hub.desk.code(grading);
    const key = await hub.desk.newKey();
    expect(await post("/api/claim", { key: code, device: "d" })).toEqual({
      status: 403,
      code: "KEY_WRONG",
    });
    expect(await join(key, "10.0.0.2")).toEqual({ status: 403, code: "CODE_WRONG" });
    for (const secret of [code, key, key.replaceAll("-", "")]) {
      const answer = await hub.app.inject({
        url: "/api/gradings",
        headers: { authorization: `Bearer ${secret}` },
      });
      expect(answer.statusCode).toBe(401);
    }
    // The key was shown at the wrong door and is still good at its own, once.
    expect((await post("/api/claim", { key, device: "d" })).status).toBe(200);
    expect((await post("/api/claim", { key, device: "d" })).status).toBe(403);
  });
});

describe("what lies on the disk", () => {
  it("[H7] holds no token and no key, looked at byte by byte", async () => {
    const onDisk = await AHub.start();
    try {
      const key = await onDisk.desk.newKey();
      const { token: judge } = await onDisk.letsIn("judge-1", ["judge"]);
      const chief = await onDisk.desk.makeChief("another-laptop" as DeviceId);
      const answer = await fetch(`${onDisk.address}/api/me`, {
        headers: { authorization: `Bearer ${judge}` },
      });
      expect(answer.status).toBe(200);
      await onDisk.stop();
      const { readdirSync, readFileSync } = await import("node:fs");
      const files = readdirSync(onDisk.folder, { recursive: true, withFileTypes: true }).filter(
        (entry) => entry.isFile(),
      );
      expect(files.length).toBeGreaterThan(0);
      for (const { name, parentPath } of files) {
        const bytes = readFileSync(`${parentPath}/${name}`).toString("latin1");
        for (const secret of [judge, chief.token, key, key.replaceAll("-", "")])
          expect([name, bytes.includes(secret)]).toEqual([name, false]);
      }
    } finally {
      await onDisk.end();
    }
  });

  it("[H1] revoking shuts HTTP and the open line at once", async () => {
    const onDisk = await AHub.start();
    try {
      const judge = await onDisk.letsIn("judge-1", ["judge"]);
      const tablet = await onDisk.tablet("judge-1", ["judge"]);
      const state = async () => {
        const headers = { authorization: `Bearer ${judge.token}` };
        return (await fetch(`${onDisk.address}/api/me`, { headers })).json();
      };
      expect(await state()).toMatchObject({ state: "admitted" });
      await onDisk.desk.revoke(judge.grading, judge.device);
      expect(await state()).toMatchObject({ state: "revoked" });
      await tablet.until(() => tablet.isClosed);
      expect(tablet.frames("bye")[0]?.fault.code).toBe("NOT_ADMITTED");
    } finally {
      await onDisk.end();
    }
  });

  it("[H59] an hour that the wall clock is set back locks nobody out for an hour", async () => {
    const code = await hub.desk.code(grading);
    for (let nth = 0; nth < 40; nth++) await join("WRONG2", from(1));
    expect((await join(code, from(1), "late")).status).toBe(429);
    const real = Date.now;
    try {
      Date.now = () => real() - 60 * 60 * 1000;
      nowMs += 61_000;
      expect((await join(code, from(1), "late")).status).toBe(200);
    } finally {
      Date.now = real;
    }
  });
});
