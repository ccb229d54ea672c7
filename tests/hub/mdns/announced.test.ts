import { createSocket } from "node:dgram";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { connect } from "node:tls";
import multicastDns, { type Packet } from "multicast-dns";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type RunningHub, startHub } from "../../../src/hub/main.ts";

let folder = "";
const running: RunningHub[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-announced-"));
  mkdirSync(join(folder, "pages"));
  for (const page of ["index", "family", "trust"])
    writeFileSync(join(folder, "pages", `${page}.html`), `<title>${page}</title>`);
});
afterEach(async () => {
  for (const hub of running.splice(0)) await hub.close();
  rmSync(folder, { recursive: true });
});

/** A port that nobody speaks multicast DNS at, so that no real hall hears of this. */
const aFreePort = async (): Promise<number> => {
  const socket = createSocket("udp4").bind(0);
  await once(socket, "listening");
  const { port } = socket.address();
  socket.close();
  return port;
};
async function start(data: string, announce?: { port: number }): Promise<RunningHub> {
  const hub = await startHub({
    port: 0,
    host: "127.0.0.1",
    dataFolder: join(folder, data),
    tabletFolder: join(folder, "pages"),
    tls: { port: () => 0, isAskedFor: false },
    announce,
  });
  running.push(hub);
  return hub;
}
/** What a hub answers whoever asks it by that name. */
async function askedAs(hub: RunningHub, host: string, path: string): Promise<string> {
  const question = request({ port: hub.port, host: "127.0.0.1", path, headers: { host } }).end();
  const [answer] = await once(question, "response");
  let body = "";
  for await (const part of answer) body += part;
  return body;
}
/** What the network answers to a question. */
async function resolved(name: string, port: number): Promise<Packet["answers"]> {
  const line = multicastDns({ interface: "127.0.0.1", bind: "0.0.0.0", port });
  try {
    await once(line, "ready");
    line.query({ questions: [{ name, type: "A" }] });
    for (;;) {
      const [packet] = (await once(line, "response")) as [Packet];
      if (packet.answers?.some((one) => one.name === name)) return packet.answers;
    }
  } finally {
    line.destroy();
  }
}

describe("a hub that answers to a name in the hall", () => {
  it("[H51] is found by it, serves under it, and has a certificate for it", async () => {
    const port = await aFreePort();
    const hub = await start("data", { port });
    expect(await hub.hallName).toBe("evenhand.local");
    expect(await resolved("evenhand.local", port)).toMatchObject([{ data: "127.0.0.1" }]);
    expect(await askedAs(hub, `evenhand.local:${hub.port}`, "/health")).toContain("ok");
    expect(await askedAs(hub, "evenhand-2.local", "/health")).toContain("ORIGIN_WRONG");
    if (!hub.secure || hub.secure === "taken") throw new Error("not secure");
    const trust = JSON.parse(await askedAs(hub, "127.0.0.1", "/api/trust"));
    expect(trust.trust.byName).toBe(`https://evenhand.local:${hub.secure.port}`);
    const ca = readFileSync(join(folder, "data", "tls", "authority.crt"), "utf8");
    await expect
      .poll(() => namedBy(ca, hub.secure as { port: number }, "evenhand.local"))
      .toBe(true);
  });

  it("[H51] leaves the name to the hub that has it, and has another", async () => {
    const port = await aFreePort();
    const first = await start("one", { port });
    await first.hallName;
    const second = await start("two", { port });
    expect(await second.hallName).toBe("evenhand-2.local");
    expect(await askedAs(second, "evenhand.local", "/health")).toContain("ORIGIN_WRONG");
    expect(await askedAs(second, "evenhand-2.local", "/health")).toContain("ok");
  });

  it("[H51] starts without a name where another program keeps the port to itself, and where nobody asked for one", async () => {
    const other = createSocket({ type: "udp4", reuseAddr: false }).bind(0);
    await once(other, "listening");
    const hub = await start("data", { port: other.address().port });
    const before = performance.now();
    expect(await hub.hallName).toBeUndefined();
    // At once, not when patience ends after three seconds.
    expect(performance.now() - before).toBeLessThan(2_500);
    expect(await askedAs(hub, "127.0.0.1", "/health")).toContain("ok");
    other.close();
    const plain = await start("plain");
    expect(await plain.hallName).toBeUndefined();
    expect(await askedAs(plain, "evenhand.local", "/health")).toContain("ORIGIN_WRONG");
  });
});

/** Whether the encrypted line vouches for a name under the hub's own authority. */
const namedBy = (ca: string, { port }: { port: number }, servername: string): Promise<boolean> =>
  new Promise((resolve) => {
    const socket = connect({ port, host: "127.0.0.1", ca, servername }, () => {
      resolve(socket.authorized);
      socket.destroy();
    });
    socket.on("error", () => resolve(false));
  });
