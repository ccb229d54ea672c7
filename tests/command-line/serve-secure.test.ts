import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import type { IncomingMessage } from "node:http";
import { get } from "node:https";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, describe, expect, it, onTestFinished } from "vitest";
import { AHubProcess } from "../builders/a-hub-process.ts";

const evenhand = fileURLToPath(new URL("../../src/command-line/evenhand.mjs", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "evenhand-secure-serve-"));
afterAll(() => rmSync(folder, { recursive: true }));

async function serves(data: string, ...more: string[]) {
  const options = ["--host", "127.0.0.1", "--port", "0", "--data", join(folder, data), "--json"];
  const hub = await AHubProcess.run([evenhand, "serve", ...options, ...more]);
  onTestFinished(() => hub.kill());
  return JSON.parse(hub.said) as { port: number; secure?: { port: number; fingerprint: string } };
}

describe("serve over TLS", () => {
  it("[H42] listens at the port it was given, with the authority in the data folder", async () => {
    const { secure } = await serves("given", "--secure-port", "0");
    if (!secure) throw new Error("not secure");
    const ca = readFileSync(join(folder, "given", "tls", "authority.crt"), "utf8");
    const question = get(`https://127.0.0.1:${secure.port}/health`, { ca, agent: false });
    const [answer] = (await once(question, "response")) as [IncomingMessage];
    expect(answer.statusCode).toBe(200);
    answer.resume();
    // Thirty-two pairs: SHA-256 (FIPS 180-4) has 256 bits.
    expect(secure.fingerprint).toMatch(/^([0-9A-F]{2}:){31}[0-9A-F]{2}$/);
  });

  it("[H42] makes no certificate where nobody but this machine reaches it, or where it is told not to", async () => {
    expect((await serves("here")).secure).toBeUndefined();
    expect((await serves("plain", "--secure-port", "0", "--plain")).secure).toBeUndefined();
    for (const data of ["here", "plain"]) expect(existsSync(join(folder, data, "tls"))).toBe(false);
  });

  it.each(["70000", "x"])("says that %s is no port", async (port) => {
    const options = ["serve", "--port", "0", "--data", folder, "--secure-port", port];
    const child = spawn(process.execPath, [evenhand, ...options], { stdio: "pipe" });
    let said = "";
    child.stderr.on("data", (chunk) => (said += String(chunk)));
    const [code] = (await once(child, "close")) as [number];
    expect(code).toBe(2);
    expect(said).toContain(`not “${port}”`);
  });
});
