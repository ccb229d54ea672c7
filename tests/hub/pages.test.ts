import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { AHub } from "../builders/a-hub.ts";

const folder = mkdtempSync(join(tmpdir(), "evenhand-pages-"));
let hub: AHub;
beforeAll(async () => {
  const app = join(folder, "app");
  mkdirSync(join(app, "assets"), { recursive: true });
  writeFileSync(join(app, "index.html"), "<title>The app</title>");
  writeFileSync(join(app, "family.html"), "<title>A sheet</title>");
  writeFileSync(join(app, "assets", "main-1234.js"), "1;");
  writeFileSync(join(app, ".hidden"), "hidden canary");
  writeFileSync(join(folder, "outside.txt"), "outside canary");
  hub = await AHub.start({ tabletFolder: app });
});
afterAll(async () => {
  await hub.end();
  rmSync(folder, { recursive: true, force: true });
});

const html = { headers: { accept: "text/html" } };

/** As a client that cleans no path would ask. @returns the whole answer. */
const askRaw = (path: string): Promise<string> =>
  new Promise((resolve, reject) => {
    const socket = connect(hub.port, "127.0.0.1", () =>
      socket.write(
        `GET ${path} HTTP/1.1\r\nHost: localhost\r\nAccept: text/html\r\nConnection: close\r\n\r\n`,
      ),
    );
    let heard = "";
    socket.on("data", (data) => (heard += data));
    socket.on("close", () => resolve(heard));
    socket.on("error", reject);
  });

describe("every page and every answer", () => {
  it.each([
    "/",
    "/join",
    "/tests/g1/chief",
    "/sheet",
    "/health",
    "/api/me",
    "/api/nothing",
    "/assets/main-1234.js",
    "/%2e%2e",
    "/assets/none.js",
  ])(
    "[H33] %s lets only the hub's own scripts run, tells nobody where it came from and is in no index",
    async (path) => {
      const { headers } = await fetch(hub.address + path, html);
      const policy = new Map(
        (headers.get("content-security-policy") ?? "").split(";").map((part) => {
          const [name = "", ...values] = part.trim().split(" ");
          return [name, values.join(" ")] as const;
        }),
      );
      // Content Security Policy Level 3, https://www.w3.org/TR/CSP3/
      expect(policy.get("default-src")).toBe("'self'");
      expect(policy.get("script-src")).toBe("'self'");
      expect(policy.get("script-src-attr")).toBe("'none'");
      expect(policy.get("object-src")).toBe("'none'");
      expect(policy.get("base-uri")).toBe("'none'");
      expect(policy.get("frame-ancestors")).toBe("'none'");
      expect(policy.get("form-action")).toBe("'self'");
      expect([...policy.values()].join(" ")).not.toMatch(/unsafe|\*|https?:/);
      expect(headers.get("x-content-type-options")).toBe("nosniff");
      expect(headers.get("referrer-policy")).toBe("no-referrer");
      expect(headers.get("x-frame-options")).toMatch(/DENY|SAMEORIGIN/);
      expect(headers.get("permissions-policy")).toContain("camera=(), geolocation=()");
      expect(headers.get("x-robots-tag")).toBe("noindex, nofollow");
      expect(headers.get("server")).toBeNull();
      expect(headers.get("x-powered-by")).toBeNull();
      if (path.startsWith("/api/")) expect(headers.get("cache-control")).toBe("no-store");
    },
  );

  it("[H33] a family's page is kept by no cache, and is not the app", async () => {
    const answer = await fetch(`${hub.address}/sheet`, html);
    expect(await answer.text()).toContain("A sheet");
    expect(answer.headers.get("cache-control")).toBe("no-store");
  });

  it.each([
    "/../outside.txt",
    "/../../etc/passwd",
    "/assets/../../outside.txt",
    "/assets/..%2f..%2foutside.txt",
    "/%2e%2e/outside.txt",
    "/%2e%2e%2foutside.txt",
    "/..%5coutside.txt",
    "/assets/%252e%252e/%252e%252e/outside.txt",
    "//outside.txt",
    "/.hidden",
    "/outside.txt%00.html",
    "/%c0%ae%c0%ae/outside.txt",
  ])("[H33] %s opens nothing beside the app", async (path) => {
    const heard = await askRaw(path);
    expect(heard).toMatch(/^HTTP\/1\.1 (200|400|403|404)/);
    expect(heard).not.toContain("canary");
    expect(heard).not.toContain("root:");
  });

  it("[H14] a method nobody asked for, and an address that is none, are answered with a code", async () => {
    for (const method of ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
      expect(await askMethod(method)).toMatch(/^HTTP\/1\.1 4\d\d/);
    const { status } = await fetch(`${hub.address}/api/gradings/${"x".repeat(5000)}/code`);
    expect(status).toBeGreaterThanOrEqual(400);
    expect(status).toBeLessThan(500);
  });
});

const askMethod = (method: string): Promise<string> =>
  new Promise((resolve, reject) => {
    const socket = connect(hub.port, "127.0.0.1", () =>
      socket.write(`${method} /api/me HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n`),
    );
    let heard = "";
    socket.on("data", (data) => (heard += data));
    socket.on("close", () => resolve(heard));
    socket.on("error", reject);
  });
