import type { AddressInfo } from "node:net";
import { connect } from "node:net";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { WebSocket } from "ws";
import { buildHub, type Hub } from "../../src/hub/build-hub.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { AHub } from "../builders/a-hub.ts";
import { ATablet } from "../builders/a-tablet.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

let hub: AHub;
let day: TestDay;
beforeEach(async () => {
  hub = await AHub.start();
  day = aTestDay();
  const chief = await hub.tablet("chief", ["chief"]);
  chief.append(...day.plan);
  await chief.until(() => chief.acknowledged.length === day.plan.length, "the plan");
});
afterEach(() => hub.end());

const penOf = (index: number) => {
  const judge = day.judges[index];
  if (!judge) throw new Error(`no judge ${index}`);
  return judge.pen;
};
const nested = (depth: number) => "[".repeat(depth) + "]".repeat(depth);

describe("a line that means harm, or is only broken", () => {
  it("[H5] loses nobody else a mark with an entry nested a hundred thousand deep", async () => {
    const broken = await hub.tablet("judge-1", ["judge"]);
    const other = await hub.tablet("judge-2", ["judge"]);
    const deep = aMark(penOf(0));
    const good = aMark(penOf(0), { criterion: "target" });
    const theirs = aMark(penOf(1));
    const text = JSON.stringify({ ...deep, extra: "deep" }).replace('"deep"', nested(100_000));
    broken.sayText(`{"frame":"append","entries":[${text},${JSON.stringify(good)}]}`);
    other.append(theirs);
    await other.until(() => other.acknowledged.includes(theirs.id), "the other judge's mark");
    await broken.until(() => broken.acknowledged.includes(good.id), "the good mark beside it");
    expect(broken.refused).toEqual([[deep.id, "ENTRY_MALFORMED"]]);
    expect([broken.isClosed, other.isClosed]).toEqual([false, false]);
  });

  it("[Y194] answers everything of a batch but what refers to a name or text that cannot be read", async () => {
    const tablet = await hub.tablet("judge-1", ["judge"]);
    const good = aMark(penOf(0));
    const words = { id: "side-1", digest: "0".repeat(64) };
    const place = { candidate: day.candidates[0], section: "blocks", item: null, side: null };
    const noted = penOf(0).write("note", { ...place, text: words } as never);
    for (const side of [{ kind: "video" }, null, "words", { id: "side-1", body: 7 }]) {
      tablet.sayText(JSON.stringify({ frame: "append", entries: [good, noted], sides: [side] }));
      await tablet.until(() => tablet.acknowledged.includes(good.id), "the mark");
    }
    await tablet.until(() => tablet.refused.length >= 4, "the note");
    expect(new Set(tablet.refused.map(([id]) => id))).toEqual(new Set([noted.id]));
    expect(tablet.isClosed).toBe(false);
  });

  it("[H5] reads nothing long, and nothing but a hello, of somebody who has not said who it is", async () => {
    const stranger = await ATablet.dial(hub.address);
    stranger.sayText(JSON.stringify({ frame: "append", entries: [aMark(penOf(0))] }));
    await stranger.until(() => stranger.refused.length > 0);
    expect(stranger.refused).toEqual([[null, "FRAME_MALFORMED"]]);
    stranger.sayText(" ".repeat(3000));
    await stranger.until(() => stranger.isClosed);
    expect(stranger.closeCode).toBe(1008);
    expect(stranger.entries).toEqual([]);
  });

  it("[H5] hangs up on somebody who says nothing", async () => {
    const silent = await ATablet.dial(hub.address);
    await silent.until(() => silent.isClosed, "the hub to hang up", 8000);
    expect(silent.closeCode).toBe(1008);
  });

  it("[H5] takes no frame of bytes for one of text, and offers no compression that could unfold", async () => {
    const { token, grading, device } = await hub.letsIn("judge-1", ["judge"]);
    const hello = JSON.stringify({
      frame: "hello",
      protocol: 2,
      cursor: 0,
      token,
      grading,
      device,
    });
    const socket = new WebSocket(`${hub.address.replace("http", "ws")}/api/sync`);
    const heard: string[] = [];
    socket.on("message", (data) => heard.push(String(data)));
    await new Promise((open) => socket.once("open", open));
    expect(socket.extensions).toBe("");
    socket.send(Buffer.from(hello), { binary: true });
    await new Promise((done) => socket.once("message", done));
    expect(heard.join()).toContain("FRAME_MALFORMED");
    expect(heard.join()).not.toContain("welcome");
    socket.terminate();
  });

  it("[H5] bears __proto__ and constructor as keys, and is not changed by them", async () => {
    const judge = await hub.tablet("judge-1", ["judge"]);
    const mark = aMark(penOf(0));
    const text = JSON.stringify(mark);
    judge.sayText(
      `{"frame":"append","entries":[${text.replace("{", '{"__proto__":{"polluted":1},')}]}`,
    );
    await judge.until(() => judge.refused.length === 1);
    expect(judge.refused).toEqual([[mark.id, "ENTRY_MALFORMED"]]);
    judge.sayText(
      '{"frame":"ping","__proto__":{"polluted":1},"constructor":{"prototype":{"polluted":1}}}',
    );
    await judge.until(() => judge.frames("pong").length > 0);
    expect("polluted" in {}).toBe(false);
    const answer = await fetch(`${hub.address}/api/join`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: '{"code":"A","device":"d","name":"n","wants":"judge","__proto__":{"polluted":1}}',
    });
    expect([answer.status, (await answer.json()).code]).toEqual([400, "FRAME_MALFORMED"]);
  });

  it("[H14] answers a body nested as deep as it may be long", async () => {
    for (const body of [nested(30_000), `{"code":${nested(30_000)}}`, '{"a":'.repeat(10_000)]) {
      const answer = await fetch(`${hub.address}/api/join`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body,
      });
      expect([answer.status, (await answer.json()).code]).toEqual([400, "FRAME_MALFORMED"]);
    }
  });
});

describe("a request that is never finished", () => {
  let slow: Hub;
  let database: Database.Database;
  let port: number;
  beforeEach(async () => {
    database = new Database(":memory:");
    const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
    slow = await buildHub({
      store: openMemoryScorebook(),
      storeName: "memory",
      version: "0",
      desk,
      slowAfterMs: 300,
    });
    await slow.app.listen({ port: 0, host: "127.0.0.1" });
    port = (slow.app.server.address() as AddressInfo).port;
  });
  afterEach(async () => {
    await slow.app.close();
    database.close();
  });

  it.each([
    ["in its head", "GET /health HTTP/1.1\r\nHost: localhost\r\n"],
    [
      "in its body",
      "POST /api/join HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 999\r\n\r\n{",
    ],
  ])("[H5] %s is cut off, and others are served meanwhile", async (_, begun) => {
    const socket = connect(port, "127.0.0.1");
    let isCut = false;
    socket.on("close", () => (isCut = true));
    socket.on("error", () => undefined);
    socket.resume();
    socket.write(begun);
    const drip = setInterval(() => socket.write(begun.endsWith("{") ? " " : "X-A: b\r\n"), 50);
    try {
      expect((await fetch(`http://127.0.0.1:${port}/health`)).status).toBe(200);
      for (let waits = 0; waits < 60 && !isCut; waits++)
        await new Promise((done) => setTimeout(done, 50));
      expect(isCut).toBe(true);
    } finally {
      clearInterval(drip);
      socket.destroy();
    }
  });
});
