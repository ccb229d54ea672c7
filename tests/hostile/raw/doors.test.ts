import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { ARawLine } from "./a-raw-line.ts";
import { ARealHub } from "./a-real-hub.ts";

const GRADING = "01a00000-0000-7000-8000-000000000001";

describe("every door", () => {
  let hub: ARealHub;
  beforeAll(async () => {
    hub = await ARealHub.start();
  }, 60_000);
  afterAll(() => hub.end());

  it("[H56] looks at a made-up token before anything: nothing opens, and the key is printed at the next start", async () => {
    const doors = [
      ["POST", "/api/example", { device: "d" }],
      ["GET", "/api/gradings", undefined],
      ["POST", "/api/gradings", { grading: "g", device: "d" }],
      ["GET", "/api/chiefs", undefined],
      ["POST", `/api/chiefs/${"0".repeat(64)}/end`, {}],
      ["GET", "/api/backups", undefined],
      ["POST", "/api/backups/bring-back", {}],
      ["GET", "/api/backups/newest", undefined],
      ["POST", "/api/names-kept", { months: 1, byItself: true }],
      ["GET", `/api/gradings/${GRADING}/code`, undefined],
      // Nonsense in the body is nobody's business before the token is looked at.
      ["POST", "/api/gradings", { what: "ever" }],
      ["POST", "/api/names-kept/erase", { what: "ever" }],
    ] as const;
    for (const [method, path, body] of doors)
      for (const token of ["x".repeat(43), "made-up"]) {
        const answer = await hub.ask(method, path, { token, ...(body && { body }) });
        expect([path, answer.status, answer.json.code]).toEqual([path, 401, "TOKEN_WRONG"]);
      }
    expect((await hub.ask("GET", "/health")).json).toMatchObject({ gradings: 0, entries: 0 });
    await hub.stop();
    await hub.startAgain();
    expect(hub.key).toMatch(/^[A-Z0-9-]{19}$/);
  }, 60_000);
});

describe("a chief's device that was shut out", () => {
  let hub: ARealHub;
  beforeAll(async () => {
    hub = await ARealHub.start();
  }, 60_000);
  afterAll(() => hub.end());
  const who = (token: string, device: string) => ({ token, grading: GRADING, device });
  const make = (token: string, device: string) =>
    hub.ask("POST", "/api/gradings", { token, body: { grading: GRADING, device } });

  /** Everything that its token opened. */
  async function expectOut(token: string): Promise<void> {
    for (const path of ["/api/gradings", "/api/chiefs", "/api/backups/newest", "/api/names-kept"])
      expect([path, (await hub.ask("GET", path, { token })).status]).toEqual([path, 401]);
    for (const device of ["old", "old-again"]) expect((await make(token, device)).status).toBe(401);
    expect((await hub.ask("GET", `/api/gradings/${GRADING}/code`, { token })).status).toBe(403);
    const line = await ARawLine.hello(hub.line, who(token, "old"));
    expect(line.frames("welcome")).toEqual([]);
    line.hangUp();
  }

  it("[H57] is ended from the list of another, and its open line is cut", async () => {
    const old = await hub.claim("old");
    await make(old, "old");
    const line = await ARawLine.hello(hub.line, who(old, "old"));
    expect(line.frames("welcome")).toHaveLength(1);
    await hub.stop();
    await hub.startAgain("--new-key");
    const fresh = await hub.claim("fresh");
    const { json } = await hub.ask("GET", "/api/chiefs", { token: fresh });
    const devices = json.devices as { id: string; isThis: boolean; isHubs: boolean }[];
    expect(devices.map(({ isThis, isHubs }) => [isThis, isHubs])).toEqual([
      [false, true],
      [true, true],
    ]);
    expect(JSON.stringify(json)).not.toContain(old);
    const again = await ARawLine.hello(hub.line, who(old, "old"));
    expect(again.frames("welcome")).toHaveLength(1);
    const [lost] = devices;
    const end = await hub.ask("POST", `/api/chiefs/${lost?.id}/end`, { token: fresh, body: {} });
    expect(end.status).toBe(200);
    await again.until(() => again.closedWith !== undefined, "the end of its line");
    expect(again.frames("bye")[0]).toMatchObject({ fault: { code: "NOT_ADMITTED" } });
    await expectOut(old);
    expect((await make(fresh, "fresh")).status).toBe(200);
  }, 60_000);

  it("[H57] is ended by the test's door too, and by somebody let in as chief of one test not at all", async () => {
    await hub.stop();
    await hub.startAgain("--new-key");
    const token = await hub.claim("tablet");
    await make(token, "tablet");
    await hub.stop();
    await hub.startAgain("--new-key");
    const chief = await hub.claim("laptop");
    await make(chief, "laptop");
    const { json } = await hub.ask("GET", `/api/gradings/${GRADING}/code`, { token: chief });
    const knock = { code: json.code, device: "guest", name: "Guest", wants: "chief" };
    const guest = String((await hub.ask("POST", "/api/join", { body: knock })).json.token);
    const at = (device: string, what: string) =>
      `/api/gradings/${GRADING}/devices/${device}/${what}`;
    const asChief = { token: chief, body: { roles: ["chief"] } };
    expect((await hub.ask("POST", at("guest", "admit"), asChief)).status).toBe(200);
    for (const what of ["revoke", "refuse", "admit"]) {
      const asked = { token: guest, body: { roles: ["desk"] } };
      expect([what, (await hub.ask("POST", at("laptop", what), asked)).status]).toEqual([
        what,
        403,
      ]);
    }
    expect((await hub.ask("POST", at("tablet", "revoke"), { token: chief, body: {} })).status).toBe(
      200,
    );
    await expectOut(token);
    // A copy of the store from before knows it still; what is noted beside it does not.
    expect((await hub.ask("GET", "/api/chiefs", { token: chief })).status).toBe(200);
  }, 60_000);

  it("[H57] is ended by a command while the hub is at work, and all at once with a new key where one is lost", async () => {
    await hub.stop();
    await hub.startAgain("--new-key", "--lost");
    const token = await hub.claim("old");
    await make(token, "old");
    const { json } = await hub.ask("GET", "/api/chiefs", { token });
    // The guest of before, and everybody else who was chief, went with `--lost`.
    expect(json.devices).toHaveLength(1);
    const line = await ARawLine.hello(hub.line, who(token, "old"));
    const [{ id }] = json.devices as [{ id: string }];
    const listed = await hub.command("devices");
    expect(listed.out).toContain(id.slice(0, 10));
    const ended = await hub.command("devices", "--end", id.slice(0, 10));
    expect(ended.code).toBe(0);
    await line.until(() => line.closedWith !== undefined, "the end of its line");
    await expectOut(token);
    expect((await hub.command("devices", "--end", "nobody-here")).code).toBe(2);
    // Nobody is chief any more, so the hub prints a key.
    await hub.stop();
    await hub.startAgain();
    expect(hub.key).toBeDefined();
  }, 60_000);
});
