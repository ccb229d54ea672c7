import { once } from "node:events";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { get as getPlainly, type IncomingMessage } from "node:http";
import { get } from "node:https";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { connect, type TLSSocket } from "node:tls";
import { fastify } from "fastify";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { WebSocket } from "ws";
import { type RunningHub, startHub } from "../../../src/hub/main.ts";
import { HallCertificate } from "../../../src/hub/tls/hall-certificate.ts";
import { listenSecurely } from "../../../src/hub/tls/secure-line.ts";
import { platformClock } from "../../../src/ports/clock.ts";

let folder = "";
const running: RunningHub[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-secure-"));
});
afterEach(async () => {
  for (const hub of running.splice(0)) await hub.close();
  rmSync(folder, { recursive: true });
});

const data = () => join(folder, "data");
const ca = () => readFileSync(join(data(), "tls", "authority.crt"), "utf8");
async function start(tls?: Parameters<typeof startHub>[0]["tls"]) {
  const pages = join(folder, "pages");
  mkdirSync(pages, { recursive: true });
  for (const page of ["index", "family", "trust"])
    writeFileSync(join(pages, `${page}.html`), `<title>${page}</title>`);
  const hub = await startHub({
    port: 0,
    host: "127.0.0.1",
    dataFolder: data(),
    tabletFolder: pages,
    tls,
  });
  running.push(hub);
  const plain = `http://127.0.0.1:${hub.port}`;
  if (hub.secure === "taken" || !hub.secure) return { hub, plain, port: 0 };
  return { hub, plain, port: hub.secure.port };
}
const anyPort = { port: () => 0, isAskedFor: false };

describe("a hub that listens over TLS too", () => {
  it("[H42] is one hub: the same answers, the same line, a page the same headers", async () => {
    const { plain, port } = await start(anyPort);
    const health = await secured(`https://127.0.0.1:${port}/health`);
    expect(JSON.parse(health.body)).toEqual(await (await fetch(`${plain}/health`)).json());
    expect(health.headers["content-security-policy"]).toContain("default-src 'self'");
    const line = new WebSocket(`wss://127.0.0.1:${port}/api/sync`, { ca: ca() });
    await once(line, "open");
    line.send(JSON.stringify({ frame: "nonsense" }));
    const [word] = (await once(line, "message")) as [Buffer];
    expect(JSON.parse(String(word))).toMatchObject({ fault: { code: expect.any(String) } });
    line.terminate();
    const other = await secured(`https://127.0.0.1:${port}/health`, {
      origin: "https://other.example",
    });
    expect(JSON.parse(other.body)).toMatchObject({ code: "ORIGIN_WRONG" });
  });

  it("[H42] closes at once though a tablet holds a line open", async () => {
    const { hub, port } = await start(anyPort);
    const idle = await held(port);
    const before = performance.now();
    running.pop();
    await hub.close();
    expect(performance.now() - before).toBeLessThan(2_000);
    idle.destroy();
  });

  it("[H42] goes on without where the next port is taken, unless that very port was asked for", async () => {
    const other = createServer().listen(0, "127.0.0.1");
    await once(other, "listening");
    const { port } = other.address() as { port: number };
    const { hub, plain } = await start({ port: () => port, isAskedFor: false });
    expect(hub.secure).toBe("taken");
    expect((await fetch(`${plain}/health`)).status).toBe(200);
    await running.pop()?.close();
    const asked = start({ port: () => port, isAskedFor: true });
    await expect(asked).rejects.toThrow(/PORT_IN_USE/);
    // The folder is free again.
    await start();
    other.close();
  });

  it("[H41] takes up a certificate for a new address without a new start", async () => {
    const app = fastify();
    app.get("/", async () => "here");
    await app.ready();
    const certificate = await HallCertificate.open(data(), Date.now());
    let names = ["127.0.0.1"];
    const line = await listenSecurely(app, {
      port: 0,
      host: "127.0.0.1",
      certificate,
      names: () => names,
      clock: platformClock,
      everyMs: 20,
    });
    const seen = async () => {
      const socket = await held(line.port);
      const { subjectaltname = "" } = socket.getPeerCertificate();
      socket.destroy();
      return subjectaltname;
    };
    expect(await seen()).toBe("IP Address:127.0.0.1");
    names = ["127.0.0.1", "10.9.8.7"];
    await expect.poll(seen).toBe("IP Address:127.0.0.1, IP Address:10.9.8.7");
    await line.close();
    await app.close();
  });
});

describe("the page at which a tablet learns to trust the hub", () => {
  it("[H43] may ask the same hub over TLS, and nothing else", async () => {
    const { plain, port } = await start(anyPort);
    const page = await fetch(`${plain}/trust`);
    expect(await page.text()).toContain("<title>trust</title>");
    const policy = page.headers.get("content-security-policy") ?? "";
    expect(policy).toContain(`connect-src 'self' https://127.0.0.1:${port};`);
    expect(policy).toContain("script-src 'self'");
    // What it asks there says nothing, and may be asked for from another port (Fetch standard, Cross-Origin-Resource-Policy).
    const seen = await secured(`https://127.0.0.1:${port}/trust/seen`);
    expect([seen.status, seen.body]).toEqual([204, ""]);
    expect(seen.headers["cross-origin-resource-policy"]).toBe("cross-origin");
    const health = await secured(`https://127.0.0.1:${port}/health`);
    expect(health.headers["cross-origin-resource-policy"]).toBe("same-origin");
    const join = await fetch(`${plain}/join`, { headers: { accept: "text/html" } });
    expect(join.headers.get("content-security-policy")).not.toContain("https://");
  });

  it("[H43] gives the certificate and its fingerprint, and no key", async () => {
    const { hub, plain, port } = await start(anyPort);
    const said = await (await fetch(`${plain}/api/trust`)).json();
    const { secure } = hub;
    if (!secure || secure === "taken") throw new Error("not secure");
    expect(said).toEqual({
      trust: {
        name: secure.name,
        fingerprint: secure.fingerprint,
        port,
        byName: null,
        formerly: [],
      },
    });
    const { X509Certificate } = await import("node:crypto");
    const file = await fetch(`${plain}/trust/evenhand-hub.crt`);
    expect(file.headers.get("content-type")).toBe("application/x-x509-ca-cert");
    const der = Buffer.from(await file.arrayBuffer());
    expect(new X509Certificate(der).fingerprint256).toBe(secure.fingerprint);
    const profile = await fetch(`${plain}/trust/evenhand-hub.mobileconfig`);
    expect(profile.headers.get("content-type")).toMatch(/^application\/x-apple-aspen-config/);
    const plist = await profile.text();
    expect(plist).toContain("<string>com.apple.security.root</string>");
    expect(plist).toContain(`<data>${der.toString("base64")}</data>`);
    expect(plist).not.toContain("PRIVATE KEY");
    for (const file of ["authority.key", "server.key"])
      expect((await fetch(`${plain}/trust/${file}`)).status).toBe(404);
  });

  it("[H54] tells under which address the hub was reached before, out of its folder", async () => {
    mkdirSync(data());
    const noted = { "http://10.0.0.3:8080": Date.now() - 60_000 };
    writeFileSync(join(data(), "addresses.json"), JSON.stringify(noted));
    const { plain } = await start(anyPort);
    const said = await (await fetch(`${plain}/api/trust`)).json();
    expect(said).toMatchObject({ trust: { formerly: ["http://10.0.0.3:8080"] } });
  });

  it("[H43] leads on to joining where there is nothing to install", async () => {
    const { port } = await start(anyPort);
    const secure = await secured(`https://127.0.0.1:${port}/trust`);
    expect([secure.status, secure.headers.location]).toEqual([302, "/join"]);
    await running.pop()?.close();
    const { hub } = await start(anyPort);
    // An address of the Internet (RFC 5737), for which the authority may not vouch.
    const abroad = await fromHost(hub.port, "192.0.2.7");
    expect([abroad.statusCode, abroad.headers.location]).toEqual([302, "/join"]);
    abroad.resume();
    await running.pop()?.close();
    const { plain } = await start();
    const without = await fetch(`${plain}/trust`, { redirect: "manual" });
    expect([without.status, without.headers.get("location")]).toEqual([302, "/join"]);
  });
});

async function secured(url: string, headers: Record<string, string> = {}) {
  const question = get(url, { ca: ca(), headers, agent: false });
  const [response] = (await once(question, "response")) as [IncomingMessage];
  let body = "";
  for await (const chunk of response) body += String(chunk);
  return { status: response.statusCode, headers: response.headers, body };
}

/** Asks for the page as somebody does who reached the machine under another address. */
async function fromHost(port: number, host: string): Promise<IncomingMessage> {
  const question = getPlainly({ host: "127.0.0.1", port, path: "/trust", headers: { host } });
  const [response] = (await once(question, "response")) as [IncomingMessage];
  return response;
}

/** A line that was shaken hands over, and says nothing. */
async function held(port: number): Promise<TLSSocket> {
  const socket = connect({ host: "127.0.0.1", port, ca: ca() });
  socket.on("error", () => undefined);
  await once(socket, "secureConnect");
  return socket;
}
