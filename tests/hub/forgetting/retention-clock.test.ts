import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { testSides } from "../../../src/belt-test/scorebook/test-sides.ts";
import type { DeviceId, GradingId, PersonId } from "../../../src/book/identity.ts";
import { buildHub, type Hub } from "../../../src/hub/build-hub.ts";
import { FrontDesk } from "../../../src/hub/door/front-desk.ts";
import type { RetentionState } from "../../../src/hub/forgetting/retention-clock.ts";
import { type ErasedLog, openErasedLog } from "../../../src/hub/store/erased-log.ts";
import { readChainsIn } from "../../../src/hub/store/read-chains.ts";
import { sqliteDoorTables } from "../../../src/hub/store/sqlite-door-tables.ts";
import { openSqliteScorebook } from "../../../src/hub/store/sqlite-scorebook.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { makeSideRecord, sideDigest } from "../../../src/line/make-side-record.ts";
import { type Clock, platformClock } from "../../../src/ports/clock.ts";
import type { ScorebookStore } from "../../../src/ports/scorebook-store.ts";
import { aGradingId, anEntryId, aPen } from "../../builders/a-pen.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { candidatesByName } from "../../builders/candidates-by-name.ts";

const DAY_MS = 24 * 60 * 60 * 1000;
const HOUR_MS = DAY_MS / 24;
const chance = { makeId: anEntryId, random: (bytes: number) => new Uint8Array(bytes).fill(7) };

/** A clock that somebody turns: what is to be done every hour is done at every whole hour that passes. */
class TurnedClock implements Clock {
  ms = Date.UTC(2026, 5, 6, 12);
  readonly #works = new Set<{ everyMs: number; work: () => void }>();
  nowMs = () => this.ms;
  steadyMs = () => this.ms;
  after = platformClock.after;
  every(everyMs: number, work: () => void): () => void {
    const one = { everyMs, work };
    this.#works.add(one);
    return () => this.#works.delete(one);
  }
  /** Goes on to a day, and comes to its hour. */
  async to(day: string): Promise<void> {
    this.ms = Date.parse(day) + 12 * HOUR_MS;
    for (const { everyMs, work } of this.#works) if (everyMs === HOUR_MS) work();
    await new Promise((done) => setTimeout(done, 60));
  }
}

/** At work on every day up to this one. */
async function through(day: string): Promise<void> {
  while (clock.ms + DAY_MS < Date.parse(day) + DAY_MS)
    await clock.to(new Date(clock.ms + DAY_MS).toISOString().slice(0, 10));
}

let clock: TurnedClock;
let hub: Hub;
let store: ScorebookStore;
let database: Database.Database;
let log: ErasedLog;
let folder: string;
let token: string;
let stop: () => void;

/** A test of 6 June 2026 with two named candidates, a named judge, and somebody who knocked and was not let in. */
beforeEach(async () => {
  clock = new TurnedClock();
  folder = mkdtempSync(join(tmpdir(), "evenhand-retention-"));
  store = openSqliteScorebook(join(folder, "evenhand.sqlite"), testBooks);
  database = new Database(":memory:");
  log = openErasedLog(folder);
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), clock.nowMs);
  hub = await buildHub({ store, storeName: "sqlite", version: "0", desk, clock, erasedLog: log });
  token = (await desk.makeChief("laptop" as DeviceId)).token;
  await desk.makeGrading(token, aGradingId, "laptop" as DeviceId);
  const as = { name: "Mara Quist", person: "judge-1" as PersonId, roles: ["judge"] as ["judge"] };
  await desk.letIn(aGradingId, "judge-1-tablet" as DeviceId, as);
  const code = await desk.code(aGradingId);
  const knock = { code, device: "pawn" as DeviceId, name: "Otto Lost", wants: "desk" as const };
  await desk.join({ ...knock, address: "10.0.0.1" });
  const day = aTestDay();
  const { named, sides } = candidatesByName(day, ["candidate-1", "candidate-2"] as CandidateId[]);
  await store.append(aGradingId, [...day.plan, ...named], sides);
  stop = hub.retention.begin((error) => {
    throw error;
  });
});
afterEach(async () => {
  stop();
  await hub.app.close();
  await store.close();
  database.close();
  rmSync(folder, { recursive: true });
});

async function ask<Answer = RetentionState>(path: string, payload?: object): Promise<Answer> {
  const answer = await hub.app.inject({
    method: payload ? "POST" : "GET",
    url: `/api/names-kept${path}`,
    headers: { authorization: `Bearer ${token}` },
    ...(payload && { payload }),
  });
  expect([answer.body, answer.statusCode]).toEqual([answer.body, 200]);
  return answer.json() as Answer;
}
const shown = () => ask("/shown", { gradings: [aGradingId] });
const isErased = async () => (await store.sides(aGradingId)).length === 0;
const namesAtDoor = async () =>
  (await hub.desk.devices(aGradingId)).map(({ name }) => name).filter(Boolean);

describe("the clock of names", () => {
  it("[H50] keeps names two years unless told otherwise, and says from thirty days before whose are due", async () => {
    await clock.to("2028-05-06");
    expect(await ask("")).toMatchObject({ rule: { months: 24, byItself: false }, tests: [] });
    await clock.to("2028-05-07");
    const { tests } = await ask("");
    expect(tests).toEqual([
      {
        grading: aGradingId,
        title: "Summer belt test",
        date: "2026-06-06",
        due: "2028-06-06",
        daysLeft: 30,
        state: "soon",
        people: 4,
        records: 2,
        goesFromMs: null,
      },
    ]);
    await clock.to("2029-01-01");
    expect((await ask("")).tests).toMatchObject([{ state: "due", daysLeft: -209 }]);
  });

  it("[H50] erases nothing by itself unless the chief chose so, however long it was due", async () => {
    await clock.to("2028-05-07");
    await shown();
    await clock.to("2031-01-01");
    expect(await isErased()).toBe(false);
  });

  it("[H50] erases nothing that nobody was shown, and waits thirty days from when it was", async () => {
    await ask("", { months: 12, byItself: true });
    await clock.to("2027-12-01");
    expect(await isErased()).toBe(false);
    expect((await ask("")).tests).toMatchObject([{ state: "due", goesFromMs: null }]);
    const warned = await shown();
    expect(warned.tests).toMatchObject([{ goesFromMs: clock.ms + 30 * DAY_MS }]);
    await through("2027-12-30");
    expect(await isErased()).toBe(false);
    await through("2027-12-31");
    // The clock's work is nobody's to wait for.
    await vi.waitFor(async () => expect(await isErased()).toBe(true));
    await vi.waitFor(async () => expect((await ask("")).gone).toHaveLength(1));
    expect(await ask("")).toMatchObject({
      tests: [],
      gone: [{ grading: aGradingId, atMs: clock.ms, people: 4 }],
    });
  });

  it("[H59] erases nothing at one start with a clock that is years ahead, nor within a day of it", async () => {
    await ask("", { months: 12, byItself: true });
    await clock.to("2027-05-10");
    await shown();
    await clock.to("2037-01-01");
    expect(await isErased()).toBe(false);
    // Set right again, and everything goes on as it was.
    await clock.to("2027-05-11");
    await through("2027-06-05");
    expect((await ask("")).tests).toMatchObject([{ state: "soon" }]);
    await through("2027-06-08");
    expect(await isErased()).toBe(false);
    // Thirty days lived through, and on this very one the clock jumps: it waits a day.
    await clock.to("2031-06-10");
    expect((await ask("")).tests[0]?.goesFromMs).toBeLessThanOrEqual(clock.ms);
    expect(await isErased()).toBe(false);
    clock.ms += 11 * HOUR_MS;
    await hub.retention.look();
    expect(await isErased()).toBe(false);
    await clock.to("2031-06-11");
    await vi.waitFor(async () => expect(await isErased()).toBe(true));
  });

  it("[H59] counts no day that it was not at work, however many passed", async () => {
    await ask("", { months: 12, byItself: true });
    await clock.to("2027-05-10");
    await shown();
    for (const day of ["2027-06-20", "2027-08-01", "2027-09-15"]) {
      await clock.to(day);
      expect(await isErased()).toBe(false);
    }
  });

  it("[H50] shows anew what is due on another day, after another time was chosen", async () => {
    await ask("", { months: 12, byItself: true });
    await clock.to("2027-05-20");
    await shown();
    await ask("", { months: 11, byItself: true });
    await clock.to("2027-06-20");
    expect(await isErased()).toBe(false);
    await shown();
    await through("2027-07-20");
    // The clock's work is nobody's to wait for.
    await vi.waitFor(async () => expect(await isErased()).toBe(true));
  });

  it("[H50] counts first and erases then: every name, at the door too, noted, with a sound chain", async () => {
    const before = await store.read(aGradingId, 0);
    const counted = await ask<object>("/erase", { grading: aGradingId, isDry: true });
    expect(counted).toEqual({ people: 4, records: 2 });
    expect(await isErased()).toBe(false);
    expect(await ask<object>("/erase", { grading: aGradingId, isDry: false })).toEqual(counted);
    expect(await isErased()).toBe(true);
    expect(await namesAtDoor()).toEqual([]);
    expect(log.of(aGradingId).sort()).toEqual(["candidate-1", "candidate-2", "judge-1"]);
    // Devices too: in an older copy nobody may know yet whose they are.
    expect(log.devices().map(({ device }) => device)).toEqual(["judge-1-tablet", "pawn"]);
    const lines = await store.read(aGradingId, 0);
    expect(lines.slice(before.length).map(({ entry: { kind, by } }) => [kind, by])).toEqual(
      Array.from({ length: 3 }, () => ["erased", "chief"]),
    );
    expect(await readChainsIn(join(folder, "evenhand.sqlite"), testSides)).toMatchObject([
      { entries: lines.length, broken: null, named: 2, gone: 2 },
    ]);
  });

  it("[H50] leaves the invented example alone, for nobody in it is real", async () => {
    const grading = "example" as GradingId;
    const { chief, plan } = aTestDay({ grading });
    const dates = { title: "Example", date: "2020-01-01", example: true };
    const person = { grading, about: "candidate-1" as CandidateId, kind: "candidate" as const };
    const { record } = makeSideRecord({ ...person, body: { given: "Anya" } }, chance);
    const named = chief.write("entered", {
      candidate: person.about,
      number: 1,
      rubric: aRubric().id,
      details: { id: record.id, digest: sideDigest(record) },
    });
    await store.append(grading, [...plan, chief.write("opened", dates), named], [record]);
    await clock.to("2028-06-07");
    expect((await ask("")).tests.map(({ grading }) => grading)).toEqual([aGradingId]);
  });

  it.each([
    { months: 5, byItself: false },
    { months: 121, byItself: true },
    { months: 24.5, byItself: true },
    { months: 24 },
  ])("[H14] refuses the time %j", async (payload) => {
    const answer = await hub.app.inject({
      method: "POST",
      url: "/api/names-kept",
      headers: { authorization: `Bearer ${token}` },
      payload,
    });
    expect(answer.json()).toMatchObject({ code: "FRAME_MALFORMED" });
  });

  it("[H148] erases also where a device is called as the hub's own hand was, and counts as high as a number goes", async () => {
    const pens = ["hub-by-command", "hub", "door"].map((device) => aPen("desk", device));
    const stops = pens.flatMap((pen) =>
      [Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER - 1].map((n) => ({
        ...pen.write("stopped", { wave: 1 }),
        n,
      })),
    );
    await store.append(aGradingId, stops);
    await ask("/erase", { grading: aGradingId, isDry: false });
    expect(await isErased()).toBe(true);
    expect(await namesAtDoor()).toEqual([]);
    const lines = (await store.read(aGradingId, 0)).map(({ entry }) => entry);
    for (const entry of lines) expect(readEntry(entry)).toMatchObject({ ok: true });
    // No two of them at one place, and a hub that opens the test reads to its end.
    const places = lines.map(({ device, n }) => `${device} ${n}`);
    expect(new Set(places).size).toBe(places.length);
    expect((await hub.rooms.room(aGradingId)).book.erased.size).toBeGreaterThan(0);
  });
});
