import type { FastifyInstance, InjectOptions } from "fastify";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { buildHub, type Hub } from "../../src/hub/build-hub.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

let hub: Hub;
let database: Database.Database;
let store: ScorebookStore;
beforeEach(async () => {
  store = openMemoryScorebook();
  database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
  hub = await buildHub({
    store,
    storeName: "memory",
    version: "0",
    desk,
    addresses: () => ["http://192.168.1.9:8080"],
    triesAMinute: 5,
  });
});
afterEach(async () => {
  await hub.app.close();
  database.close();
});

async function ask(
  method: "GET" | "POST",
  url: string,
  { body, token, ...more }: { body?: object; token?: string } & InjectOptions = {},
) {
  const answer = await hub.app.inject({
    method,
    url,
    ...more,
    headers: { ...(token ? { authorization: `Bearer ${token}` } : {}), ...more.headers },
    ...(body ? { payload: body } : {}),
  });
  return { status: answer.statusCode, json: answer.json(), headers: answer.headers };
}
async function aChief() {
  const key = await hub.desk.newKey();
  const { json } = await ask("POST", "/api/claim", { body: { key, device: "laptop" } });
  await ask("POST", "/api/gradings", {
    token: json.token,
    body: { grading: "g1", device: "laptop" },
  });
  return { token: json.token as string, person: json.person as string };
}
const knock = (code: string, device = "tablet-1") => ({
  body: { code, device, name: "Ada's tablet", wants: "judge" },
});

describe("the first chief", () => {
  it("[H6] comes in with the printed key, however it is typed, and the key works once", async () => {
    const key = await hub.desk.newKey();
    const typed = ` ${key.toLowerCase().replaceAll("-", " ")}`;
    const first = await ask("POST", "/api/claim", { body: { key: typed, device: "laptop" } });
    expect(first.status).toBe(200);
    expect(first.json.token.length).toBeGreaterThanOrEqual(43);
    const second = await ask("POST", "/api/claim", { body: { key, device: "laptop-2" } });
    expect([second.status, second.json.code]).toEqual([403, "KEY_WRONG"]);
  });

  it("[H6] stays the same person when a lost laptop is replaced with a new key", async () => {
    const { person } = await aChief();
    const key = await hub.desk.newKey();
    const again = await ask("POST", "/api/claim", { body: { key, device: "new-laptop" } });
    expect(again.json.person).toBe(person);
    const opened = await ask("POST", "/api/gradings", {
      token: again.json.token,
      body: { grading: "g1", device: "new-laptop" },
    });
    expect(opened.status).toBe(200);
    expect((await ask("GET", "/api/gradings/g1/code", { token: again.json.token })).status).toBe(
      200,
    );
  });

  it("[H20] is shown every belt test of the hub, one that came in as a file too, and picks it up", async () => {
    const { token } = await aChief();
    const { plan } = aTestDay();
    await store.append(aGradingId, plan);
    const { json } = await ask("GET", "/api/gradings", { token });
    expect(json.gradings).toEqual([
      { grading: "g1", isExample: false, state: "planning" },
      {
        grading: aGradingId,
        title: "Summer belt test",
        date: "2026-06-06",
        isExample: false,
        state: "running",
      },
    ]);
    const body = { grading: aGradingId, device: "tablet-9" };
    expect((await ask("POST", "/api/gradings", { token, body })).status).toBe(200);
    await store.append(aGradingId, [aPen("chief", "late").write("closed", {})]);
    const again = await ask("GET", "/api/gradings", { token });
    expect(again.json.gradings[0]).toMatchObject({ grading: aGradingId, state: "closed" });
    expect(again.json.gradings).toHaveLength(2);
    expect((await ask("GET", "/api/gradings")).status).toBe(401);
    const { json: waiting } = await ask(
      "POST",
      "/api/join",
      knock(await hub.desk.code(aGradingId)),
    );
    expect((await ask("GET", "/api/gradings", { token: waiting.token })).status).toBe(401);
  });

  it("[H7] keeps no secret as it is: not the key, not a token", async () => {
    const key = await hub.desk.newKey();
    const { token } = await hub.desk.makeChief(anId("laptop"));
    const all = ["settings", "chiefs", "devices"].flatMap((table) =>
      database.prepare(`SELECT * FROM ${table}`).all(),
    );
    const kept = JSON.stringify(all);
    expect(kept).not.toContain(token);
    expect(kept).not.toContain(key);
    expect(kept).not.toContain(key.replaceAll("-", ""));
  });
});

describe("the door", () => {
  it("[H8] lets nobody in with a code alone: the chief admits, and says as whom", async () => {
    const chief = await aChief();
    const { json: door } = await ask("GET", "/api/gradings/g1/code", { token: chief.token });
    expect(door).toEqual({
      code: expect.stringMatching(/^[A-Z2-9]{6}$/),
      addresses: ["http://192.168.1.9:8080"],
    });
    const joined = await ask("POST", "/api/join", knock(door.code.toLowerCase()));
    expect(joined.json).toMatchObject({ state: "waiting", grading: "g1" });
    const token = joined.json.token as string;
    expect((await ask("GET", "/api/me", { token })).json).toMatchObject({
      state: "waiting",
      grading: "g1",
    });
    await expect(hub.desk.admitted(token, anId("g1"))).rejects.toThrow(/NOT_ADMITTED/);
    const { json: list } = await ask("GET", "/api/gradings/g1/devices", { token: chief.token });
    expect(list.devices[1]).toMatchObject({ device: "tablet-1", name: "Ada's tablet" });
    expect(JSON.stringify(list)).not.toMatch(/hash|address/i);
    const admitted = await ask("POST", "/api/gradings/g1/devices/tablet-1/admit", {
      token: chief.token,
      body: { person: "judge-1", roles: ["judge"] },
    });
    expect(admitted.json).toEqual({ person: "judge-1", state: "admitted" });
    expect((await ask("GET", "/api/me", { token })).json).toMatchObject({
      state: "admitted",
      person: "judge-1",
      roles: ["judge"],
    });
  });

  it("[H8] makes a new person for a device that nobody was seated for", async () => {
    const chief = await aChief();
    await ask("POST", "/api/join", knock(await hub.desk.code(anId("g1"))));
    const { json } = await ask("POST", "/api/gradings/g1/devices/tablet-1/admit", {
      token: chief.token,
      body: { roles: ["desk"] },
    });
    expect(json.person).toMatch(/^person-/);
  });

  it("[H9] opens the chief's doors to the chief only", async () => {
    const chief = await aChief();
    const { json } = await ask("POST", "/api/join", knock(await hub.desk.code(anId("g1"))));
    const doors = [
      ["GET", "/api/gradings/g1/code"],
      ["POST", "/api/gradings/g1/code"],
      ["GET", "/api/gradings/g1/devices"],
      ["POST", "/api/gradings/g1/devices/tablet-1/admit"],
      ["POST", "/api/gradings/g1/devices/laptop/revoke"],
      ["POST", "/api/gradings/g1/devices/laptop/refuse"],
    ] as const;
    const body = { roles: ["chief"] };
    for (const [method, url] of doors) {
      const bodied = method === "POST" ? { body } : {};
      expect((await ask(method, url, bodied)).status).toBe(401);
      expect((await ask(method, url, { ...bodied, token: json.token })).status).toBe(403);
    }
    await ask("POST", "/api/gradings/g1/devices/tablet-1/admit", {
      token: chief.token,
      body: { roles: ["judge"] },
    });
    for (const [method, url] of doors) {
      const bodied = method === "POST" ? { body } : {};
      const answer = await ask(method, url, { ...bodied, token: json.token });
      expect([url, answer.status, answer.json.code]).toEqual([url, 403, "ROLE_MISSING"]);
    }
    expect((await ask("GET", "/api/gradings", { token: json.token })).status).toBe(401);
    expect((await ask("GET", "/api/gradings", { token: chief.token })).json).toEqual({
      gradings: [{ grading: "g1", isExample: false, state: "planning" }],
    });
  });

  it("[H10] does not let one device take the place of another that is in, or waits elsewhere", async () => {
    const chief = await aChief();
    const code = await hub.desk.code(anId("g1"));
    const onChief = await ask("POST", "/api/join", knock(code, "laptop"));
    expect([onChief.status, onChief.json.code]).toEqual([409, "NOT_YOURS"]);
    const { json: first } = await ask("POST", "/api/join", knock(code));
    const thief = await ask("POST", "/api/join", { ...knock(code), remoteAddress: "10.0.0.66" });
    expect(thief.status).toBe(409);
    expect((await ask("GET", "/api/me", { token: first.token })).json.state).toBe("waiting");
    // The same tablet may knock again: its first answer may have been lost.
    expect((await ask("POST", "/api/join", knock(code))).status).toBe(200);
    expect((await hub.desk.chiefOf(chief.token, anId("g1"))).device).toBe("laptop");
  });

  it("[H11] refuses the old code once a new one is made, and slows down guessing", async () => {
    const chief = await aChief();
    const before = await hub.desk.code(anId("g1"));
    const { json } = await ask("POST", "/api/gradings/g1/code", { token: chief.token });
    expect(json.code).not.toBe(before);
    const from = { remoteAddress: "10.0.0.7" };
    const old = await ask("POST", "/api/join", { ...knock(before), ...from });
    expect([old.status, old.json.code]).toEqual([403, "CODE_WRONG"]);
    for (let time = 0; time < 4; time++)
      await ask("POST", "/api/join", { ...knock("AAAAAA"), ...from });
    const limited = await ask("POST", "/api/join", { ...knock(json.code), ...from });
    expect([limited.status, limited.json.code]).toEqual([429, "TOO_MANY_TRIES"]);
    expect(limited.json.with.seconds).toBeGreaterThan(0);
    const elsewhere = { ...knock(json.code), remoteAddress: "10.0.0.8" };
    expect((await ask("POST", "/api/join", elsewhere)).status).toBe(200);
  });

  it("[H8] refuses and revokes by name, and a device sent out may knock again", async () => {
    const chief = await aChief();
    const code = await hub.desk.code(anId("g1"));
    const { json } = await ask("POST", "/api/join", knock(code));
    const refuse = "/api/gradings/g1/devices/tablet-1/refuse";
    expect((await ask("POST", refuse, { token: chief.token })).status).toBe(200);
    expect((await ask("GET", "/api/me", { token: json.token })).json.state).toBe("refused");
    const again = await ask("POST", "/api/join", knock(code));
    expect(again.json.state).toBe("waiting");
    expect((await ask("GET", "/api/me", { token: json.token })).json.code).toBe("TOKEN_WRONG");
    const nobody = await ask("POST", "/api/gradings/g1/devices/nobody/revoke", {
      token: chief.token,
    });
    expect([nobody.status, nobody.json.code]).toEqual([403, "NOT_ADMITTED"]);
  });
});

describe("a door", () => {
  it.each([
    ["state = 'maybe'", undefined],
    ["wants = x'ff'", undefined],
    ["person = ''", { device: "tablet-1", state: "admitted" }],
    ["since_ms = 'soon'", { device: "tablet-1", state: "admitted", person: "judge-1" }],
  ])("[H185] shows every other device where %s stands in the row of one", async (damage, rest) => {
    const { token } = await aChief();
    const { code } = (await ask("GET", "/api/gradings/g1/code", { token })).json;
    await ask("POST", "/api/join", knock(code));
    await ask("POST", "/api/join", knock(code, "tablet-2"));
    const as = { person: "judge-1", roles: ["judge"] };
    const admit = { token, body: as };
    await ask("POST", "/api/gradings/g1/devices/tablet-1/admit", admit);
    database.exec(`UPDATE devices SET ${damage} WHERE device = 'tablet-1'`);
    const { status, json } = await ask("GET", "/api/gradings/g1/devices", { token });
    expect([status, json.damaged]).toEqual([200, 1]);
    const [found] = json.devices.filter(({ device }: { device: string }) => device === "tablet-1");
    expect(found).toEqual(rest && expect.objectContaining(rest));
    expect(json.devices).toContainEqual(
      expect.objectContaining({ device: "tablet-2", state: "waiting" }),
    );
    const out = await ask("POST", "/api/gradings/g1/devices/tablet-1/revoke", { token });
    expect(out.status).toBe(200);
    database.exec("UPDATE chiefs SET since_ms = 'x'");
    expect((await ask("GET", "/api/chiefs", { token })).json.devices).toHaveLength(1);
  });

  it("[H56] is no door before it says whom it opens to", async () => {
    const more = () => async (app: FastifyInstance) => {
      app.get("/api/back-door", async () => ({}));
    };
    const { desk } = hub;
    await expect(
      buildHub({ store, storeName: "memory", version: "0", desk, more }),
    ).rejects.toThrow(/back-door does not say whom it opens to/);
  });

  it("[H57] lets no chief's token take the place of somebody else's device", async () => {
    const chief = await aChief();
    const code = await hub.desk.code(anId("g1"));
    await ask("POST", "/api/join", knock(code));
    await ask("POST", "/api/gradings/g1/devices/tablet-1/admit", {
      token: chief.token,
      body: { person: "judge-1", roles: ["judge"] },
    });
    const body = { grading: "g1", device: "tablet-1" };
    const taken = await ask("POST", "/api/gradings", { token: chief.token, body });
    expect([taken.status, taken.json.code]).toEqual([409, "NOT_YOURS"]);
  });

  it("[H57] shuts a chief's tablet out of all tests that an earlier hub had shut out of one", async () => {
    const { token } = await aChief();
    database.exec("UPDATE devices SET state = 'revoked'");
    expect((await ask("GET", "/api/gradings", { token })).status).toBe(200);
    const again = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
    expect(await again.isUnclaimed()).toBe(true);
    expect((await ask("GET", "/api/gradings", { token })).status).toBe(401);
  });
});

describe("the hub's answers", () => {
  it("[H12] says in /health that it is well and how much it holds, without a name", async () => {
    expect((await ask("GET", "/health")).json).toEqual({
      status: "ok",
      version: "0",
      store: "memory",
      gradings: 0,
      entries: 0,
    });
    await aChief();
    expect((await ask("GET", "/health")).json).toMatchObject({ gradings: 1, entries: 0 });
    // What came in as a file counts before anybody has opened it: a chief's device asks for it by this.
    const { plan } = aTestDay();
    await store.append(aGradingId, plan);
    expect((await ask("GET", "/health")).json).toMatchObject({ gradings: 2, entries: 0 });
    // Lines are counted of closed tests alone: of one under way they would tell how often a judge has tapped.
    const closing = aPen("chief", "closer").write("closed", {});
    await store.append(aGradingId, [closing]);
    expect((await ask("GET", "/health")).json).toMatchObject({
      gradings: 2,
      entries: plan.length + 1,
    });
  });

  it("[H13] refuses another page's origin and a name pointed at this machine", async () => {
    const evil = { headers: { host: "localhost:8080", origin: "http://evil.example" } };
    const rebound = { headers: { host: "evil.example:8080" } };
    for (const request of [evil, rebound]) {
      const answer = await ask("GET", "/health", request);
      expect([answer.status, answer.json.code]).toEqual([403, "ORIGIN_WRONG"]);
    }
    for (const host of ["192.168.1.9:8080", "[::1]:8080", "127.0.0.1:1", "localhost:8080"]) {
      const headers = { host, origin: `http://${host}` };
      expect((await ask("GET", "/health", { headers })).status).toBe(200);
    }
  });

  it("[H14] names what is wrong in a body, and answers nonsense with a code", async () => {
    const { status, json } = await ask("POST", "/api/join", {
      body: { code: "A", device: "t", name: "", wants: "king" },
    });
    expect([status, json.code, json.with.path]).toEqual([400, "FRAME_MALFORMED", "name"]);
    const broken = await ask("POST", "/api/join", {
      payload: "{",
      headers: { "content-type": "application/json" },
    });
    expect([broken.status, broken.json.code]).toEqual([400, "FRAME_MALFORMED"]);
    const huge = await ask("POST", "/api/join", { body: { code: "A".repeat(70_000) } });
    expect([huge.status, huge.json.code]).toEqual([413, "FRAME_TOO_LARGE"]);
    const lost = await ask("GET", "/api/nothing-here");
    expect(lost.status).toBe(404);
    expect(lost.json.code).toBeDefined();
  });

  it("[H116] an address that cannot be decoded is answered in our own words, on every route", async () => {
    for (const method of ["GET", "POST"] as const)
      for (const url of ["/api/family/%ff", "/api/%c0%af", "/%e0%a4%a", "/nothing/%zz"]) {
        const { status, json } = await ask(method, url);
        expect([url, status, json]).toEqual([url, 400, { code: "FRAME_MALFORMED" }]);
      }
  });

  it("[H15] sends headers that let only its own scripts run, and that work in a hall without TLS", async () => {
    const policy = String((await ask("GET", "/health")).headers["content-security-policy"]);
    expect(policy).toContain("default-src 'self'");
    expect(policy).not.toContain("unsafe");
    expect(policy).not.toContain("upgrade-insecure-requests");
    const [, lines] = /connect-src ([^;]*)/.exec(policy) ?? [];
    expect(lines).toBe("'self' ws://localhost:80 wss://localhost:80");
    // A name that is none, and would be another rule.
    const { headers } = await ask("GET", "/health", {
      headers: { host: "a.example ; script-src *" },
    });
    expect(String(headers["content-security-policy"])).not.toMatch(/script-src \*/);
  });
});
