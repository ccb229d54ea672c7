import { connect, type Socket } from "node:net";
import { afterAll, beforeAll, expect, it } from "vitest";
import { ARawLine } from "./a-raw-line.ts";
import { ARealHub } from "./a-real-hub.ts";

let hub: ARealHub;
const silent: Socket[] = [];
beforeAll(async () => {
  hub = await ARealHub.start();
}, 60_000);
afterAll(() => {
  for (const socket of silent) socket.destroy();
  return hub.end();
});

it("[H58] 1,500 silent connections of one address shut out neither whoever is in nor whoever comes", async () => {
  const token = await hub.claim("laptop");
  const who = { token, grading: "g-crowd", device: "laptop" };
  await hub.ask("POST", "/api/gradings", { token, body: who });
  const before = await ARawLine.hello(hub.line, who);
  for (let batch = 0; batch < 15; batch++)
    await Promise.all(
      Array.from(
        { length: 100 },
        () =>
          new Promise<void>((resolve) => {
            const socket = connect(hub.port, "127.0.0.1", resolve);
            socket.once("error", () => resolve());
            silent.push(socket);
          }),
      ),
    );
  expect((await hub.ask("GET", "/health")).status).toBe(200);
  const after = await ARawLine.hello(hub.line, who);
  expect(after.frames("welcome")).toHaveLength(1);
  before.say({ frame: "ping" });
  await before.until(() => before.frames("pong").length === 1, "a word on the line from before");
  const isStillOpen = () => silent.filter((socket) => !socket.destroyed).length;
  await after.until(() => isStillOpen() <= 100, "the oldest to be gone");
  before.hangUp();
  after.hangUp();
}, 60_000);
