import fc from "fast-check";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { letIns } from "../../src/belt-test/scorebook/let-ins.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { buildHub, type Hub } from "../../src/hub/build-hub.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { platformClock } from "../../src/ports/clock.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { ATablet } from "../builders/a-tablet.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

let hub: Hub;
let database: Database.Database;
let address: string;
let day: TestDay;
let laterMs: number;
/** Of the hub's chief, and of a chief of this test who has no access to the hub's machine. */
let hubsChief: string;
let coChief: string;

const theirs = new Map<string, string>();
async function letIn(person: string, role: Role, device = `${person}-tablet`): Promise<string> {
  const as = { name: person, person: person as PersonId, roles: [role] as const };
  const { token } = await hub.desk.letIn(aGradingId, device as DeviceId, as);
  theirs.set(device, token);
  return token;
}
async function onTheLine(device: string): Promise<ATablet> {
  const token = theirs.get(device) ?? "x".repeat(43);
  const who = { token, grading: aGradingId, device: device as DeviceId };
  const tablet = await ATablet.join(address, who);
  await tablet.until(() => tablet.isClosed || tablet.frames("welcome").length > 0, "a welcome");
  return tablet;
}
async function knock(device: string): Promise<void> {
  const code = await hub.desk.code(aGradingId);
  const knocking = { code, device, name: "Kim’s other tablet", wants: "judge" };
  const answer = await hub.app.inject({ method: "POST", url: "/api/join", payload: knocking });
  // Who is in is not knocked for.
  if (answer.statusCode === 200) theirs.set(device, answer.json().token);
}
async function admit(token: string, device: string, person: string, roles: Role[] = ["judge"]) {
  const answer = await hub.app.inject({
    method: "POST",
    url: `/api/gradings/${aGradingId}/devices/${device}/admit`,
    headers: { authorization: `Bearer ${token}` },
    payload: { person, roles },
  });
  return { status: answer.statusCode, ...answer.json() };
}
async function atDoor(device: string) {
  const answer = await hub.app.inject({
    url: `/api/gradings/${aGradingId}/devices`,
    headers: { authorization: `Bearer ${hubsChief}` },
  });
  const { devices } = answer.json() as { devices: { device: string; state: string }[] };
  return devices.find((one) => one.device === device);
}
const inBook = async () => letIns((await hub.rooms.room(aGradingId)).book);
async function sent(tablet: ATablet, ...entries: AnyEntry[]): Promise<void> {
  tablet.append(...entries);
  await tablet.until(() => entries.every(({ id }) => tablet.acknowledged.includes(id)), "acks");
}

beforeEach(async () => {
  theirs.clear();
  laterMs = 0;
  database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
  const clock = { ...platformClock, steadyMs: () => platformClock.steadyMs() + laterMs };
  const store = openMemoryScorebook();
  hub = await buildHub({
    store,
    storeName: "memory",
    version: "0",
    desk,
    clock,
    triesAMinute: 1000,
  });
  await hub.app.listen({ host: "127.0.0.1", port: 0 });
  const at = hub.app.server.address();
  address = `http://127.0.0.1:${typeof at === "object" ? at?.port : ""}`;
  const chief = await desk.makeChief("laptop" as DeviceId);
  hubsChief = chief.token;
  await desk.makeGrading(hubsChief, aGradingId, "laptop" as DeviceId);
  day = aTestDay();
  await store.append(aGradingId, day.plan);
  coChief = await letIn("second", "chief");
  await letIn("judge-1", "judge");
});
afterEach(async () => {
  await hub.app.close();
  database.close();
});

describe("a further device of somebody's", () => {
  it("[H140] comes into a chief's place at the word of the hub's chief alone", async () => {
    const { person } = await hub.desk.admitted(hubsChief, aGradingId);
    await letIn("third", "chief");
    for (const chief of [person, "third", "chief"]) {
      await knock("spare");
      expect(await admit(coChief, "spare", chief, ["judge"])).toMatchObject({
        status: 403,
        code: "ROLE_MISSING",
      });
      expect(await atDoor("spare")).toMatchObject({ state: "waiting" });
    }
    expect(await inBook()).toEqual([]);
    // A chief's own second tablet, and anybody's first, as ever.
    expect(await admit(coChief, "spare", "second", ["chief"])).toMatchObject({ status: 200 });
    await knock("first-of-third");
    expect(await admit(hubsChief, "first-of-third", "third")).toMatchObject({ status: 200 });
  });

  it("[H140] a chief's further device is the hub's chief's to shut out and to make something else of", async () => {
    const { person } = await hub.desk.admitted(hubsChief, aGradingId);
    await knock("chiefs-second");
    expect(await admit(hubsChief, "chiefs-second", person, ["chief"])).toMatchObject({
      status: 200,
    });
    const no = { status: 403, code: "ROLE_MISSING" };
    expect(await admit(coChief, "chiefs-second", "somebody-new")).toMatchObject(no);
    const device = "chiefs-second" as DeviceId;
    await expect(hub.desk.revoke(aGradingId, device, coChief)).rejects.toMatchObject({
      fault: { code: "ROLE_MISSING" },
    });
    expect(await atDoor("chiefs-second")).toMatchObject({ state: "admitted" });
  });

  it("[H141] is the further one also where two are let in at the same moment", async () => {
    for (const [round, person] of ["kim", "lou", "max"].entries()) {
      const devices = [`one-${round}`, `two-${round}`];
      for (const device of devices) await knock(device);
      await Promise.all(devices.map((device) => admit(hubsChief, device, person)));
      expect((await inBook()).map((line) => line.person)).toContain(person);
    }
  });

  it("[H149] stays whose it is: nobody moves it to somebody else and puts another in its place", async () => {
    const judge = await onTheLine("judge-1-tablet");
    await knock("evil");
    const no = { status: 409, code: "NOT_YOURS" };
    for (const chief of [coChief, hubsChief])
      expect(await admit(chief, "judge-1-tablet", "somebody-new")).toMatchObject(no);
    expect(await admit(coChief, "evil", "judge-1")).toMatchObject({ status: 202 });
    await hub.desk.revoke(aGradingId, "judge-1-tablet" as DeviceId);
    expect(await admit(hubsChief, "judge-1-tablet", "somebody-new")).toMatchObject(no);
    expect(judge.isClosed).toBe(false);
  });

  it("[H141] also where the door knows of none, and the book has lines of that person", async () => {
    const lost = await onTheLine("judge-1-tablet");
    await sent(lost, aMark((day.judges[0] as (typeof day.judges)[number]).pen));
    lost.drop();
    database.exec("DELETE FROM devices WHERE person = 'judge-1'");
    await knock("another");
    await expect.poll(async () => (await admit(coChief, "another", "judge-1")).status).toBe(200);
    expect(await inBook()).toMatchObject([{ person: "judge-1", device: "another" }]);
  });

  it("[H151] who knocks under the id of a chief's other tablet keeps that tablet out of nothing", async () => {
    const { token } = await hub.desk.makeChief("other-laptop" as DeviceId);
    await knock("other-laptop");
    const made = () => hub.desk.makeGrading(token, aGradingId, "other-laptop" as DeviceId);
    await expect(made()).resolves.toEqual({ grading: aGradingId });
    const stranger = theirs.get("other-laptop") ?? "";
    await expect(hub.desk.me(stranger)).rejects.toThrow("TOKEN_WRONG");
    expect((await hub.desk.admitted(token, aGradingId)).roles).toEqual(["chief"]);
  });

  it("[H141] nobody comes in under the id of a candidate, or as the hub itself", async () => {
    await knock("spare");
    for (const person of [day.candidates[0] ?? "", "hub"])
      expect(await admit(hubsChief, "spare", person)).toMatchObject({ code: "NOT_YOURS" });
  });

  it("[H141] stands in the book before it is in, with whose word it was, and is told to that person and the chiefs alone", async () => {
    await letIn("judge-2", "judge");
    const other = await onTheLine("judge-2-tablet");
    const chief = await onTheLine("second-tablet");
    await knock("spare");
    expect(await admit(coChief, "spare", "judge-1")).toMatchObject({
      status: 200,
      state: "admitted",
    });
    const [line, ...more] = await inBook();
    expect(more).toEqual([]);
    expect(line).toMatchObject({ person: "judge-1", device: "spare", decidedBy: "second" });
    const own = await onTheLine("judge-1-tablet");
    const id = line?.id ?? "";
    for (const tablet of [own, chief]) await tablet.until(() => tablet.ids.includes(id), "word");
    await other.settled();
    expect(other.raw.join()).not.toContain("spare");
    // Somebody's first, and other roles of the same, are nothing new.
    await knock("fresh");
    await admit(coChief, "fresh", "judge-3");
    await admit(coChief, "fresh", "judge-3", ["judge", "caller"]);
    expect(await inBook()).toHaveLength(1);
  });

  it("[H141] also where the very same one was out and comes back, and where the test is closed", async () => {
    const chief = await onTheLine("second-tablet");
    await hub.desk.revoke(aGradingId, "judge-1-tablet" as DeviceId);
    await knock("judge-1-tablet");
    await admit(coChief, "judge-1-tablet", "judge-1");
    const room = await hub.rooms.room(aGradingId);
    const pen = aPen("chief", "closer");
    pen.hear(room.book.lamport);
    const asChief = { person: "chief" as PersonId, roles: ["chief" as const], device: pen.device };
    expect(await room.handIn(asChief, [pen.write("closed", {})])).toMatchObject({ refused: [] });
    await knock("spare");
    await admit(coChief, "spare", "judge-1");
    const devices = (await inBook()).map(({ device }) => device);
    expect(devices).toEqual(["judge-1-tablet", "spare"]);
    await chief.until(() => chief.raw.join().includes("spare"), "word");
  });

  it("[H142] is told by no device: whoever sends such a line is refused", async () => {
    for (const device of ["second-tablet", "door-of-mine"]) {
      if (device === "door-of-mine") await letIn("second", "chief", device);
      const chief = await onTheLine(device);
      const pen = aPen("second", device);
      const said = { person: "judge-1", device: "spare", decidedBy: "judge-1" };
      const forged = pen.write("let-in", said as never);
      chief.append(forged as AnyEntry);
      await chief.until(() => chief.refused.length > 0, "the refusal");
      expect(chief.refused).toEqual([[forged.id, "ROLE_MISSING"]]);
    }
    expect(await inBook()).toEqual([]);
  });

  it("[H143] waits, while the person has a tablet on the line, for a yes said there, and is sent none of the closed marks before", async () => {
    const own = await onTheLine("judge-1-tablet");
    const judge = day.judges[0];
    if (!judge) throw new Error("no judge");
    const mark = aMark(judge.pen, { level: 4 });
    await sent(own, mark);
    await knock("spare");
    for (let press = 0; press < 2; press++)
      expect(await admit(coChief, "spare", "judge-1")).toMatchObject({
        status: 202,
        state: "asked",
      });
    await own.until(() => own.frames("door-questions").length > 0, "the question");
    expect(own.frames("door-questions").at(-1)?.devices).toEqual([
      { device: "spare", name: "Kim’s other tablet" },
    ]);
    expect(await atDoor("spare")).toMatchObject({
      state: "waiting",
      asked: { person: "judge-1", again: false },
    });
    const early = await onTheLine("spare");
    expect([early.isClosed, early.raw.join().includes(mark.id)]).toEqual([true, false]);
    // Nobody else's yes is one, whatever they are.
    const chief = await onTheLine("second-tablet");
    chief.say({ frame: "door-answer", device: "spare" as DeviceId, yes: true });
    await chief.settled();
    expect(await atDoor("spare")).toMatchObject({ state: "waiting" });
    expect(await inBook()).toEqual([]);
    own.say({ frame: "door-answer", device: "spare" as DeviceId, yes: true });
    await own.until(() => own.frames("door-questions").at(-1)?.devices.length === 0, "the end");
    expect(await atDoor("spare")).toMatchObject({ state: "admitted" });
    expect(await inBook()).toMatchObject([{ device: "spare", agreed: true }]);
    const late = await onTheLine("spare");
    await late.until(() => late.ids.includes(mark.id), "the judge's own marks");
  });

  it("[H143] reads and writes nothing of a judge's who is on the line, whatever a chief of one test does at the door within a minute", async () => {
    const own = await onTheLine("judge-1-tablet");
    const { pen } = day.judges[0] ?? {};
    if (!pen) throw new Error("no judge");
    const marks: string[] = [];
    const devices = ["spare", "other"];
    const act = fc.constantFrom("knock", "admit", "as new", "refuse", "revoke", "dial", "mark");
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(act, fc.constantFrom(...devices)), { minLength: 4, maxLength: 12 }),
        async (acts) => {
          const heard: ATablet[] = [];
          for (const [what, device] of acts) {
            if (what === "knock") await knock(device);
            else if (what === "admit") await admit(coChief, device, "judge-1");
            else if (what === "as new") await admit(coChief, device, `new-${device}`);
            else if (what === "dial") heard.push(await onTheLine(device));
            else if (what === "mark") {
              const level = 1 + (marks.length % 4);
              const mark = aMark(pen, { level });
              marks.push(mark.id);
              await sent(own, mark);
            } else
              await hub.app.inject({
                method: "POST",
                url: `/api/gradings/${aGradingId}/devices/${device}/${what}`,
                headers: { authorization: `Bearer ${coChief}` },
                payload: {},
              });
          }
          for (const tablet of heard) {
            const forged = aMark(aPen("judge-1"), { level: 1 });
            if (!tablet.isClosed) {
              tablet.append(forged);
              await tablet.settled();
            }
            expect(tablet.acknowledged).toEqual([]);
            for (const id of marks) expect(tablet.raw.join()).not.toContain(id);
            tablet.drop();
          }
          const rows = await hub.desk.devices(aGradingId);
          const as = rows.filter(
            ({ person, state }) => person === "judge-1" && state === "admitted",
          );
          expect(as.map(({ device }) => device)).toEqual(["judge-1-tablet"]);
        },
      ),
      { numRuns: 25 },
    );
    expect((await inBook()).filter(({ person }) => person === "judge-1")).toEqual([]);
  }, 30_000);

  it("[H143] is turned away by a no, which the chief is told", async () => {
    const own = await onTheLine("judge-1-tablet");
    await knock("spare");
    await admit(coChief, "spare", "judge-1");
    own.say({ frame: "door-answer", device: "spare" as DeviceId, yes: false });
    await own.until(() => own.frames("door-questions").at(-1)?.devices.length === 0, "the end");
    expect(await atDoor("spare")).toMatchObject({ state: "refused", deniedBy: "judge-1" });
    expect(await inBook()).toEqual([]);
  });

  it("[H144] comes in at a second press where the person's tablet has left the line, or gave no answer for a minute; the book says it", async () => {
    const own = await onTheLine("judge-1-tablet");
    await knock("spare");
    await admit(coChief, "spare", "judge-1");
    laterMs = 59_000;
    expect(await admit(coChief, "spare", "judge-1")).toMatchObject({ state: "asked" });
    laterMs = 60_000;
    expect(await atDoor("spare")).toMatchObject({ asked: { again: true } });
    expect(await admit(coChief, "spare", "judge-1")).toMatchObject({ state: "admitted" });
    await knock("another");
    expect(await admit(coChief, "another", "judge-1")).toMatchObject({ state: "asked" });
    own.drop();
    for (let wait = 0; wait < 40; wait++) {
      const found = (await atDoor("another")) as { asked?: { again: boolean } } | undefined;
      if (found?.asked?.again) break;
      await new Promise((go) => setTimeout(go, 50));
    }
    expect(await admit(coChief, "another", "judge-1")).toMatchObject({ state: "admitted" });
    expect((await inBook()).map(({ device, agreed }) => [device, agreed])).toEqual([
      ["spare", false],
      ["another", false],
    ]);
  });

  it("[H198] in no role any more is in as nobody: it calls nothing and checks nobody in, until it has a role again; who waits outside comes in as something", async () => {
    await letIn("dora", "caller");
    const call = { wave: 1, section: "blocks", item: "rising-block", side: "left" } as never;
    const pen = aPen("dora", "dora-tablet");
    pen.hear(day.plan.length);
    const calls = async () => {
      const tablet = await onTheLine("dora-tablet");
      const entry = pen.write("called", call);
      tablet.say({ frame: "append", entries: [entry], sides: [] });
      const said = () => tablet.frames("refuse").find(({ id }) => id === entry.id)?.fault.code;
      await tablet.until(() => tablet.acknowledged.includes(entry.id) || said() !== undefined);
      return [...(tablet.frames("welcome").at(-1)?.roles ?? []), said() ?? "kept"];
    };
    expect(await calls()).toEqual(["caller", "kept"]);
    expect((await admit(hubsChief, "dora-tablet", "dora", [])).status).toBe(200);
    expect(await calls()).toEqual(["ROLE_MISSING"]);
    expect((await admit(hubsChief, "dora-tablet", "dora", ["caller"])).status).toBe(200);
    expect(await calls()).toEqual(["caller", "kept"]);
    await knock("another-tablet");
    expect((await admit(hubsChief, "another-tablet", "dora", [])).code).toBe("NOT_ADMITTED");
  });

  it("[H144] is asked about anew where it knocks anew, and not let in where the chief who asked was shut out since", async () => {
    const own = await onTheLine("judge-1-tablet");
    await knock("spare");
    await admit(coChief, "spare", "judge-1");
    await own.until(() => own.frames("door-questions").length > 0, "the question");
    await knock("spare");
    await own.until(() => own.frames("door-questions").at(-1)?.devices.length === 0, "the end");
    await admit(coChief, "spare", "judge-1");
    await hub.desk.revoke(aGradingId, "second-tablet" as DeviceId);
    own.say({ frame: "door-answer", device: "spare" as DeviceId, yes: true });
    await own.until(() => own.refused.length > 0, "the refusal");
    expect(await atDoor("spare")).toMatchObject({ state: "waiting" });
    expect(await inBook()).toEqual([]);
  });
});
