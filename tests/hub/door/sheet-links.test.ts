import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { buildHub, type Hub } from "../../../src/hub/build-hub.ts";
import { FrontDesk } from "../../../src/hub/door/front-desk.ts";
import { SheetLinks } from "../../../src/hub/door/sheet-links.ts";
import { sqliteDoorTables } from "../../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { platformClock } from "../../../src/ports/clock.ts";
import type { ScorebookStore } from "../../../src/ports/scorebook-store.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import type { TestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { candidatesByName } from "../../builders/candidates-by-name.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const DAY_MS = 24 * 60 * 60 * 1000;
const [one, two] = ["candidate-1", "candidate-2"] as CandidateId[] as [CandidateId, CandidateId];

let hub: Hub;
let store: ScorebookStore;
let database: Database.Database;
let day: TestDay;
let nowMs: number;
let token: string;

/** Everybody is called Ada Invented by one number each, passes, and the first one's sheet is released. */
beforeEach(async () => {
  nowMs = Date.UTC(2026, 5, 6, 12);
  store = openMemoryScorebook();
  database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), () => nowMs);
  hub = await buildHub({
    store,
    storeName: "memory",
    version: "0",
    desk,
    addresses: () => ["http://192.168.1.9:8080"],
    clock: { ...platformClock, nowMs: () => nowMs },
  });
  const marked = aMarkedDay();
  day = marked.day;
  const { named, sides } = candidatesByName(day, [one, two], "canary@example.org");
  const verdict = (candidate: CandidateId) =>
    day.chief.write("verdict", {
      candidate,
      result: "pass",
      retestSections: [],
      computed: "pass",
      basis: fold(marked.entries).basis,
    });
  const released = day.chief.write("sheet-released", { candidate: one });
  await store.append(
    aGradingId,
    [...marked.entries, ...named, verdict(one), verdict(two), released],
    sides,
  );
  ({ token } = await desk.makeChief(anId("laptop")));
  await desk.makeGrading(token, aGradingId, anId("laptop"));
});
afterEach(async () => {
  await hub.app.close();
  database.close();
});

async function ask(method: "GET" | "POST", url: string, by = token, body?: object) {
  const answer = await hub.app.inject({
    method,
    url,
    headers: { authorization: `Bearer ${by}` },
    ...(body ? { payload: body } : {}),
  });
  return { status: answer.statusCode, json: answer.json(), text: answer.body, answer };
}
const LINKS = `/api/gradings/${aGradingId}/sheet-links`;
const makeLink = async (candidate = one, days?: number) =>
  ask("POST", LINKS, token, { candidate, ...(days ? { days } : {}) });
const read = (link: string) => ask("GET", "/api/sheet", link);

describe("a link for a family", () => {
  it("[H32] opens that candidate's released sheet, and nothing of a judge, a mark or another candidate", async () => {
    const { status, json } = await makeLink();
    expect(status).toBe(200);
    expect(json.addresses).toEqual(["http://192.168.1.9:8080"]);
    // 128 bits and more: 43 letters of six bits each.
    expect(json.link.token).toMatch(/^[A-Za-z0-9_-]{43}$/);
    const sheet = await read(json.link.token);
    expect(sheet.status).toBe(200);
    expect(sheet.json.sheet).toMatchObject({
      name: "Ada1 Invented",
      number: 1,
      title: "Summer belt test",
      sheet: { result: "pass", audience: "junior" },
    });
    expect(
      sheet.json.sheet.sheet.strong.length + sheet.json.sheet.sheet.next.length,
    ).toBeGreaterThan(0);
    const canaries = [
      "judge-",
      "candidate-2",
      "Ada2",
      "canary@",
      "lamport",
      '"by"',
      '"level"',
      "salt",
    ];
    for (const canary of canaries) expect(sheet.text).not.toContain(canary);
    const traces = sheet.text.match(/"traces":\[[^\]]/);
    expect(traces).toBeNull();
    expect(sheet.answer.headers).toMatchObject({
      "cache-control": "no-store",
      "referrer-policy": "no-referrer",
      "x-robots-tag": "noindex, nofollow",
    });
  });

  it("[H32] is made by the chief of that test alone, and only of a released sheet", async () => {
    const waiting = await makeLink(two);
    expect([waiting.status, waiting.json.code]).toEqual([409, "SHEET_NOT_RELEASED"]);
    const stranger = await makeLink("candidate-99" as CandidateId);
    expect([stranger.status, stranger.json.code]).toEqual([409, "SHEET_NOT_RELEASED"]);
    const { json } = await makeLink();
    for (const roles of [["judge"], ["caller"], ["desk"]] as const) {
      const as = { name: roles[0], person: roles[0] as PersonId, roles };
      const device = anId(`${roles[0]}-tablet`);
      const { token: other } = await hub.desk.letIn(aGradingId, device, as);
      for (const [method, url] of [
        ["GET", LINKS],
        ["POST", LINKS],
        ["POST", `${LINKS}/${json.link.id}/revoke`],
      ] as const) {
        const answer = await ask(method, url, other, { candidate: one });
        expect([url, answer.status, answer.json.code]).toEqual([url, 403, "ROLE_MISSING"]);
      }
    }
    // A link is no key to anything else, and a key is no link.
    for (const url of [LINKS, "/api/gradings", "/api/me", `/api/gradings/${aGradingId}/code`])
      expect((await ask("GET", url, json.link.token)).status).toBe(401);
    expect((await read(token)).status).toBe(404);
    expect((await read(json.link.id)).status).toBe(404);
  });

  it("[H199] one that is damaged where it is kept costs no other: they are listed, made, opened and taken back", async () => {
    const tables = sqliteDoorTables(database, ":memory:", testBooks);
    await tables.keepSetting("sheet-link/damaged", '{"grading":"gr');
    await tables.keepSetting("sheet-link/of-another-shape", '{"grading":7}');
    const links = new SheetLinks(tables, () => nowMs);
    const made = await links.make(aGradingId, one, 14);
    expect((await links.of(aGradingId)).map(({ id }) => id)).toContain(made.id);
    expect(await links.opened(made.token)).toMatchObject({ candidate: one });
    await expect(links.revoke(aGradingId, "damaged")).rejects.toThrow(/LINK_WRONG/);
    await links.forget(aGradingId, one);
    await expect(links.opened(made.token)).rejects.toThrow(/LINK_WRONG/);
  });

  it("[H32] runs out: after fourteen days, or when it was told to", async () => {
    const usual = (await makeLink()).json.link;
    const short = (await makeLink(one, 1)).json.link;
    expect(usual.expiresAtMs - nowMs).toBe(14 * DAY_MS);
    nowMs += DAY_MS - 1;
    expect((await read(short.token)).status).toBe(200);
    nowMs += 1;
    const late = await read(short.token);
    expect([late.status, late.json.code]).toEqual([404, "LINK_WRONG"]);
    expect((await ask("GET", LINKS)).json.links.map(({ id }: { id: string }) => id)).toEqual([
      usual.id,
    ]);
    nowMs += 13 * DAY_MS;
    expect((await read(usual.token)).status).toBe(404);
    expect((await ask("GET", LINKS)).json.links).toEqual([]);
    for (const days of [0, 91, 1.5])
      expect((await ask("POST", LINKS, token, { candidate: one, days })).status).toBe(400);
  });

  it("[H32] is taken back at once, and no other with it", async () => {
    const [first, second] = [(await makeLink()).json.link, (await makeLink()).json.link];
    const { json } = await ask("POST", `${LINKS}/${first.id}/revoke`);
    expect(json.links.map(({ id }: { id: string }) => id)).toEqual([second.id]);
    expect((await read(first.token)).json.code).toBe("LINK_WRONG");
    expect((await read(second.token)).status).toBe(200);
    expect((await ask("POST", `${LINKS}/${first.id}/revoke`)).status).toBe(404);
    // Another test of the same chief has no say in it.
    await hub.desk.makeGrading(token, anId("other"), anId("laptop"));
    expect((await ask("POST", `/api/gradings/other/sheet-links/${second.id}/revoke`)).status).toBe(
      404,
    );
    expect((await read(second.token)).status).toBe(200);
  });

  it("[H7] is kept as a hash, and its list shows no token", async () => {
    const { link } = (await makeLink()).json;
    const kept = JSON.stringify(database.prepare("SELECT * FROM settings").all());
    expect(kept).toContain(link.id);
    expect(kept).not.toContain(link.token);
    expect((await ask("GET", LINKS)).text).not.toContain(link.token);
  });

  it("[H32] shows the page as it stands now, and is gone with whoever is erased", async () => {
    const { link } = (await makeLink()).json;
    const room = await hub.rooms.room(aGradingId);
    const author = {
      person: "chief" as PersonId,
      roles: ["chief"] as const,
      device: anId("chief-tablet"),
    };
    const edited = day.chief.write("sheet-edited", { candidate: one, strong: [], next: [] });
    expect((await room.handIn(author, [edited])).refused).toEqual([]);
    expect((await read(link.token)).json.sheet.sheet.strong).toEqual([]);
    const retest = day.chief.write("verdict", {
      candidate: one,
      result: "retest",
      retestSections: [anId("blocks")],
      computed: "pass",
      reason: undefined,
      basis: {},
    });
    // A correction needs its reason; without one the page stays as it was.
    await room.handIn(author, [retest]);
    expect((await read(link.token)).json.sheet.sheet.result).toBe("pass");
    const kept = database.prepare("SELECT * FROM settings WHERE name LIKE 'sheet-link/%'").all();
    const erased = day.chief.write("erased", { about: one });
    expect((await room.handIn(author, [erased])).refused).toEqual([]);
    const gone = await read(link.token);
    expect([gone.status, gone.json.code]).toEqual([404, "LINK_WRONG"]);
    expect((await ask("GET", LINKS)).json.links).toEqual([]);
    // Also where a copy from before brings the link back.
    const [{ name, value }] = kept as [{ name: string; value: string }];
    database.prepare("INSERT INTO settings VALUES (?, ?)").run(name, value);
    expect((await read(link.token)).json.code).toBe("LINK_WRONG");
  });

  it("[H59] opens again after a day on which the clock was years ahead", async () => {
    const body = { candidate: one };
    const { json } = await ask("POST", `/api/gradings/${aGradingId}/sheet-links`, token, body);
    const { link } = json as unknown as { link: { token: string } };
    nowMs += 3650 * DAY_MS;
    await ask("GET", `/api/gradings/${aGradingId}/sheet-links`);
    expect((await ask("GET", "/api/sheet", link.token)).status).toBe(404);
    nowMs -= 3650 * DAY_MS;
    expect((await ask("GET", "/api/sheet", link.token)).status).toBe(200);
  });
});
