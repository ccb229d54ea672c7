import { once } from "node:events";
import { connect } from "node:net";
import { expect, it } from "vitest";
import { AHub } from "../../builders/a-hub.ts";
import { ATablet } from "../../builders/a-tablet.ts";

it("[H13] hangs up on a line it refuses, so that refused lines do not pile up", async () => {
  const hub = await AHub.start();
  const stranger = await ATablet.dial(hub.address, { origin: "http://evil.example" });
  await stranger.until(() => stranger.isClosed, "a refusal");
  const begun = performance.now();
  await hub.end();
  // A socket that nobody reads would hold the hub up until the end of time.
  expect(performance.now() - begun).toBeLessThan(5000);
});

it.each([
  ["an address that cannot be decoded", "/%zz"],
  ["one that is too long", `/api/gradings/${"g".repeat(400)}/devices`],
  ["one that nobody serves", "/nowhere"],
])("[H152] ends at once after a line was asked for under %s", async (_, path) => {
  const hub = await AHub.start();
  for (const isRead of [true, false]) {
    const socket = connect(hub.port, "127.0.0.1");
    await once(socket, "connect");
    socket.write(
      `GET ${path} HTTP/1.1\r\nHost: 127.0.0.1:${hub.port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n`,
    );
    await once(socket, "data");
    if (isRead) socket.end();
    else socket.pause();
  }
  const begun = performance.now();
  await hub.end();
  expect(performance.now() - begun).toBeLessThan(5000);
});

it.each(["/", "/health", "/api/join", "/api/backups"])(
  "[H187] opens no line at %s, and hangs up on whoever asks for one there",
  async (path) => {
    const hub = await AHub.start();
    const socket = connect(hub.port, "127.0.0.1");
    await once(socket, "connect");
    const closed = once(socket, "close");
    let answer = "";
    socket.on("data", (data) => {
      answer += data;
    });
    socket.write(
      `GET ${path} HTTP/1.1\r\nHost: 127.0.0.1:${hub.port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: ${btoa("x".repeat(16))}\r\n\r\n`,
    );
    await closed;
    expect(answer).toMatch(/^HTTP\/1.1 4\d\d /);
    await hub.end();
  },
);

it("[H152] and while somebody answers no goodbye, who is in or not", async () => {
  const hub = await AHub.start();
  const socket = connect(hub.port, "127.0.0.1");
  await once(socket, "connect");
  socket.write(
    `GET /api/sync HTTP/1.1\r\nHost: 127.0.0.1:${hub.port}\r\nOrigin: http://127.0.0.1:${hub.port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: ${btoa("x".repeat(16))}\r\n\r\n`,
  );
  const [answer] = await once(socket, "data");
  expect(String(answer)).toContain("101");
  const begun = performance.now();
  await hub.end();
  expect(performance.now() - begun).toBeLessThan(5000);
  socket.destroy();
});
