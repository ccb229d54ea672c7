import { createServer, get } from "node:http";
import { type AddressInfo, connect } from "node:net";
import Database from "libsql";
import { afterEach, expect, it } from "vitest";
import { buildHub } from "../../../src/hub/build-hub.ts";
import { FrontDesk } from "../../../src/hub/door/front-desk.ts";
import { InTurn } from "../../../src/hub/door/in-turn.ts";
import { sqliteDoorTables } from "../../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

let ends: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of ends.reverse()) await end();
  ends = [];
});

/** A server that answers after a moment. @returns its port, what was begun in each turn of the event loop, and how many answers were open at most */
async function slowServer() {
  const begun: number[] = [];
  const open = { now: 0, most: 0 };
  let turn = 0;
  const server = createServer(
    new InTurn().taking((request, response) => {
      if (turn++ === 0) {
        begun.push(0);
        setImmediate(() => {
          turn = 0;
        });
      }
      begun.push((begun.pop() ?? 0) + 1);
      open.most = Math.max(open.most, ++open.now);
      setTimeout(() => {
        open.now--;
        response.end(request.url);
      }, 5);
    }),
  );
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  ends.push(() => {
    server.closeAllConnections();
    server.close();
  });
  return { port: (server.address() as AddressInfo).port, begun, open };
}

/** Asks so many things in one breath. @returns what came back until the other end, or this one after the last answer, hung up */
const inOneBreath = (port: number, paths: readonly string[]) =>
  new Promise<{ answers: string[]; isCut: boolean }>((done) => {
    let said = "";
    const answers = () => [...said.matchAll(/\r\n\r\n(\/\d+)/g)].map(([, path]) => path ?? "");
    const socket = connect(port, "127.0.0.1", () =>
      socket.write(paths.map((path) => `GET ${path} HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n`).join("")),
    );
    socket.on("error", () => undefined);
    socket.on("close", () => done({ answers: answers(), isCut: true }));
    socket.on("data", (bytes) => {
      said += bytes;
      if (answers().length < paths.length) return;
      done({ answers: answers(), isCut: false });
      socket.destroy();
    });
  });
const paths = (count: number) => Array.from({ length: count }, (_, at) => `/${at}`);

it("[H177] answers what one connection asks in one breath one after another, and cuts it where that is more than a few", async () => {
  const { port, open } = await slowServer();
  expect(await inOneBreath(port, paths(5))).toEqual({ answers: paths(5), isCut: false });
  expect(open.most).toBe(1);
  expect(await inOneBreath(port, paths(900))).toEqual({ answers: [], isCut: true });
  expect(open.most).toBe(1);
});

it("[H177] begins a few of all requests, and then it is read what else came in; nobody is left out", async () => {
  const { port, begun } = await slowServer();
  const asked = (path: string) =>
    new Promise<string>((done, fail) => {
      get({ port, host: "127.0.0.1", path, agent: false }, (response) => {
        let said = "";
        response.on("data", (bytes) => {
          said += bytes;
        });
        response.on("end", () => done(said));
      }).on("error", fail);
    });
  expect(await Promise.all(paths(200).map(asked))).toEqual(paths(200));
  expect(begun.reduce((sum, one) => sum + one, 0)).toBe(200);
  expect(Math.max(...begun)).toBeLessThanOrEqual(4);
});

it("[H177] goes on with a connection that gave up waiting, and with the others behind it", async () => {
  const { port } = await slowServer();
  const gone = connect(port, "127.0.0.1", () => {
    gone.write("GET /0 HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n".repeat(3));
    setTimeout(() => gone.destroy(), 2);
  });
  await new Promise((done) => gone.on("close", done));
  expect(await inOneBreath(port, paths(3))).toEqual({ answers: paths(3), isCut: false });
});

it("[H177] a hub does so: whoever floods it over one connection is cut off", async () => {
  const database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
  const hub = await buildHub({
    ...{ store: openMemoryScorebook(), storeName: "memory", version: "0", desk },
  });
  ends.push(
    () => database.close(),
    () => hub.app.close(),
  );
  await hub.app.listen({ port: 0, host: "127.0.0.1" });
  const { port } = hub.app.server.address() as AddressInfo;
  const flood = inOneBreath(
    port,
    Array.from({ length: 900 }, () => "/health"),
  );
  expect(await flood).toMatchObject({ isCut: true });
  expect((await fetch(`http://127.0.0.1:${port}/health`)).status).toBe(200);
});
