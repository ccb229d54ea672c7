import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { exampleTest } from "../../src/demo/example-test.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { openSqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aTestDay } from "../builders/a-test-day.ts";

let hub: RunningHub;
let folder: string;
let base: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-example-"));
  hub = await startHub({
    port: 0,
    host: "127.0.0.1",
    dataFolder: folder,
    more: exampleTest({ syncUrl: () => `ws://127.0.0.1:${hub.port}/api/sync`, speed: 40 }),
  });
  base = `http://127.0.0.1:${hub.port}`;
});
afterAll(async () => {
  await hub.close();
  rmSync(folder, { recursive: true, force: true });
});

const ask = async (device: string) =>
  (
    await fetch(`${base}/api/example`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ device }),
    })
  ).json() as Promise<{
    token: string;
    grading: string;
  }>;
/** As the file has them: of a test that is under way nobody is told how many there are. */
const entries = async () => {
  const store = openSqliteScorebook(join(folder, "evenhand.sqlite"), testBooks);
  const gradings = await store.gradings();
  await store.close();
  return gradings.reduce((sum, one) => sum + one.entries, 0);
};

describe("the example test", () => {
  it("opens half way through for the machine that asks, and breathes", async () => {
    const { token, grading } = await ask("visitor");
    const me = (await (
      await fetch(`${base}/api/me`, { headers: { authorization: `Bearer ${token}` } })
    ).json()) as object;
    expect(me).toMatchObject({ state: "admitted", grading, roles: ["chief", "judge"] });
    const before = await entries();
    expect(before).toBeGreaterThan(1500);
    await expect.poll(entries, { timeout: 8000 }).toBeGreaterThan(before + 20);
  }, 15_000);

  it("lets a second device of the same machine into the example that is running", async () => {
    const [one, two] = [await ask("visitor"), await ask("tablet")];
    expect(two.grading).toBe(one.grading);
    expect(two.token).not.toBe(one.token);
  });

  it("makes nobody chief without a token once the hub holds a real belt test", async () => {
    const { token } = await ask("visitor");
    const post = (path: string, body: object, headers: Record<string, string> = {}) =>
      fetch(`${base}${path}`, {
        method: "POST",
        headers: { "content-type": "application/json", ...headers },
        body: JSON.stringify(body),
      });
    expect(
      (
        await post(
          "/api/gradings",
          { grading: "real-test", device: "visitor" },
          { authorization: `Bearer ${token}` },
        )
      ).status,
    ).toBe(200);
    const refused = await post("/api/example", { device: "somebody" });
    expect(await refused.json()).toMatchObject({ code: "TOKEN_WRONG" });
    expect(
      (await post("/api/example", { device: "visitor" }, { authorization: `Bearer ${token}` }))
        .status,
    ).toBe(200);
  });

  it("makes nobody chief where a belt test came in as a file, which has no maker here", async () => {
    const dataFolder = mkdtempSync(join(tmpdir(), "evenhand-example-"));
    const store = openSqliteScorebook(join(dataFolder, "evenhand.sqlite"), testBooks);
    await store.append(aGradingId, aTestDay().plan);
    await store.close();
    const other = await startHub({
      port: 0,
      host: "127.0.0.1",
      dataFolder,
      more: exampleTest({ syncUrl: () => "ws://127.0.0.1:1/api/sync", speed: 40 }),
    });
    const answer = await fetch(`http://127.0.0.1:${other.port}/api/example`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ device: "visitor" }),
    });
    expect(answer.status).toBe(401);
    expect(await answer.json()).toMatchObject({ code: "TOKEN_WRONG" });
    await other.close();
    rmSync(dataFolder, { recursive: true, force: true });
  });
});
