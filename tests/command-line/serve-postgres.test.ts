import { type ChildProcess, execFile, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from "vitest";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aPostgresDatabase } from "../builders/a-postgres-database.ts";
import { run } from "./run.ts";

const evenhand = fileURLToPath(new URL("../../src/command-line/evenhand.mjs", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "evenhand-serve-"));
let url = "";
let child: ChildProcess | undefined;
beforeAll(async () => {
  url = await aPostgresDatabase();
});
afterAll(() => {
  child?.kill("SIGKILL");
  rmSync(folder, { recursive: true });
});

async function fails(store: string): Promise<{ code: number; said: string }> {
  const started = promisify(execFile)(
    process.execPath,
    [evenhand, "serve", "--port", "0", "--data", folder, "--store", store],
    { timeout: 20_000 },
  );
  const { code, stdout, stderr } = await started.then(
    (ended) => ({ code: 0, ...ended }),
    (error: { code: number; stdout: string; stderr: string }) => error,
  );
  return { code, said: stdout + stderr };
}

describe("serve --store", () => {
  it("[H17] says in plain words why a database cannot be used, and never the password", async () => {
    const change = (edit: (address: URL) => void) => {
      const address = new URL(url);
      edit(address);
      return fails(address.href);
    };
    const [password, database, nobody] = await Promise.all([
      change((address) => (address.password = "topsecret")),
      change((address) => (address.pathname = "/nowhere")),
      change((address) => (address.port = "1")),
    ]);
    expect(password).toMatchObject({ code: 2 });
    expect(password.said).toMatch(/user name or the password is wrong/);
    expect(database.said).toMatch(/no database of that name/);
    expect(nobody.said).toMatch(/nothing answers at that address/);
    const wrong = await fails("mysql://hall:topsecret@db/x");
    expect(wrong.said).toMatch(/--store needs an address such as postgres:/);
    for (const { said } of [password, database, nobody, wrong])
      expect(said).not.toMatch(/topsecret|only-for-tests|\n {4}at /);
  });

  it("[L17] names the newest sound copy, and what puts it into a new database, where the database is gone", async () => {
    const copies = join(folder, "backups");
    mkdirSync(copies);
    const kept = join(copies, "evenhand-20260606T100000000Z.sqlite");
    const store = await aPostgresDatabase();
    const demo = fileURLToPath(new URL("../../demo-data/finished-test.json", import.meta.url));
    await run(folder, ["import", demo, "--store", store]);
    await run(folder, ["backup", kept, "--store", store]);
    writeFileSync(join(copies, "evenhand-20260606T110000000Z.sqlite"), "torn");
    const gone = store.replace(/[^/]*$/, "gone");
    const { code, said } = await fails(gone);
    expect(code).toBe(2);
    expect(said).not.toContain("only-for-tests");
    const [, command = ""] = /^ +evenhand (restore .+)$/m.exec(said) ?? [];
    expect(command).toContain("evenhand-20260606T100000000Z.sqlite");
    const another = await aPostgresDatabase();
    const [, name = ""] = /([^/]*)$/.exec(another) ?? [];
    const args = command
      .replace("NEW", name)
      .split(" ")
      .map((word) => word.replace("evenhand@", "evenhand:only-for-tests@"));
    const back = await run(process.cwd(), args);
    expect(back).toMatchObject({ code: 0, err: "" });
    rmSync(copies, { recursive: true });
  });

  it("[H24] serves from it, says so, and takes the password from the environment", async () => {
    const address = new URL(url);
    const env = { ...process.env, PGPASSWORD: address.password };
    address.password = "";
    child = spawn(
      process.execPath,
      [
        evenhand,
        "serve",
        "--port",
        "0",
        "--host",
        "127.0.0.1",
        "--data",
        folder,
        "--store",
        address.href,
      ],
      { env, stdio: ["ignore", "pipe", "inherit"] },
    );
    let said = "";
    child.stdout?.on("data", (data) => {
      said += data;
    });
    while (!said.includes("Ctrl+C")) await new Promise((done) => setTimeout(done, 50));
    expect(said).toContain(`kept in postgres://${address.host}${address.pathname}`);
    const [here = ""] = /http:\/\/localhost:\d+/.exec(said) ?? [];
    expect(await (await fetch(`${here}/health`)).json()).toMatchObject({ store: "postgres" });
    const ended = once(child, "exit");
    child.kill("SIGTERM");
    expect(await ended).toEqual([0, null]);
  });

  it.each([
    [[], { backups: { kept: [], everyMinutes: 10 } }],
    [["--backup-every", "never"], { backups: null }],
  ])(
    "[L17] copies what it shares by itself, unless it is told never to: %j",
    async (more, told) => {
      const options = ["--port", "0", "--host", "127.0.0.1", "--data", folder, "--json"];
      const store = await aPostgresDatabase();
      const hub = await AHubProcess.run([evenhand, "serve", ...options, "--store", store, ...more]);
      onTestFinished(() => hub.kill());
      const { port, key } = JSON.parse(hub.said) as { port: number; key: string };
      const claimed = await fetch(`http://127.0.0.1:${port}/api/claim`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ key, device: "laptop" }),
      });
      const { token } = (await claimed.json()) as { token: string };
      const answer = await fetch(`http://127.0.0.1:${port}/api/backups`, {
        headers: { authorization: `Bearer ${token}` },
      });
      expect(await answer.json()).toMatchObject(told);
    },
  );
});
