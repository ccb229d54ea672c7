import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { letIns } from "../../src/belt-test/scorebook/let-ins.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { Fault } from "../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { openStore } from "../../src/hub/store/open-store.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { AHub } from "../builders/a-hub.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aPostgresDatabase, asAHallOf, runSql } from "../builders/a-postgres-database.ts";
import { ATablet } from "../builders/a-tablet.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";
import { candidatesByName } from "../builders/candidates-by-name.ts";

let url = "";
let day: TestDay;
let here: AHub;
let there: AHub;
beforeEach(async () => {
  url = await aPostgresDatabase();
  // Both in the same moment, on a database that is empty.
  [here, there] = await Promise.all([AHub.start({ store: url }), AHub.start({ store: url })]);
  day = aTestDay({ judges: 2 });
});
afterEach(() => Promise.all([here.end(), there.end()]));

async function aChiefWithThePlan(hub: AHub): Promise<ATablet> {
  const chief = await hub.tablet("chief", ["chief"]);
  chief.append(...day.plan);
  await chief.until(() => chief.acknowledged.length === day.plan.length, "the plan");
  return chief;
}
const judgeNamed = (person: string) => {
  const judge = day.judges.find((one) => one.person === person);
  if (!judge) throw new Error(person);
  return judge;
};
const penOf = (person: string) => judgeNamed(person).pen;
/** The lock of a judge who had marked this before and not seen the rest. */
const theLock = (person: string, ...marked: AnyEntry[]) =>
  aLock(judgeNamed(person), anId("blocks"), day.candidates, [...day.plan, ...marked]);

describe("several hubs on one PostgreSQL", () => {
  it("[H24] are one hub: one name, one chief, one list of tests", async () => {
    expect(there.desk.fingerprint).toBe(here.desk.fingerprint);
    const first = await here.desk.makeChief("laptop-1" as DeviceId);
    const second = await there.desk.makeChief("laptop-2" as DeviceId);
    expect(second.person).toBe(first.person);
    expect(await there.desk.gradings(first.token)).toEqual([aGradingId]);
    const health = await (await fetch(`${there.address}/health`)).json();
    expect(health).toMatchObject({ status: "ok", store: "postgres", gradings: 1, entries: 0 });
  });

  it("[H24] send every viewer the same feed, live and on a cursor from the other hub", async () => {
    const chief = await aChiefWithThePlan(here);
    const [mine, theirs] = [
      await here.tablet("judge-1", ["judge"]),
      await there.tablet("judge-2", ["judge"]),
    ];
    const marks = [1, 2, 3].map((level) => aMark(penOf("judge-1"), { level }));
    const theirMark = aMark(penOf("judge-2"), { level: 4 });
    const [own, others] = [theLock("judge-1", ...marks), theLock("judge-2", theirMark)];
    mine.append(...marks, ...own);
    theirs.append(theirMark, ...others);
    const whole = day.plan.length + marks.length + own.length + 1 + others.length;
    await chief.until(() => new Set([...chief.ids, ...chief.acknowledged]).size === whole, "all");
    await mine.until(() => mine.acknowledged.length === marks.length + own.length, "the marks");
    // The same person on a new device at each hub: everything, in the same order.
    for (const [person, role] of [
      ["chief", "chief"],
      ["judge-1", "judge"],
      ["judge-2", "judge"],
    ] as const) {
      const at = async (hub: AHub, device: string) => {
        const tablet = await hub.tablet(person, [role], { device });
        await tablet.until(() => tablet.entries.length >= whole, `${person}'s feed`);
        return tablet;
      };
      const [one, other] = [await at(here, `${person}-a`), await at(there, `${person}-b`)];
      expect(other.ids).toEqual(one.ids);
      expect(other.frames("welcome")[0]?.feed).toBe(one.frames("welcome")[0]?.feed);
    }
    const cursor = day.plan.length;
    const feed = chief.frames("welcome")[0]?.feed ?? "";
    const moved = await there.tablet("chief", ["chief"], { device: "chief-c", feed, cursor });
    await moved.until(() => moved.entries.length === whole - cursor, "the rest");
    expect(moved.frames("welcome")[0]?.resumed).toBe(true);
  });

  it("[H24] tell the chief at one of coverage, presence and the count at the other", async () => {
    const chief = await aChiefWithThePlan(here);
    const judge = await there.tablet("judge-1", ["judge"]);
    judge.append(aMark(penOf("judge-1")));
    await chief.until(
      () =>
        chief.frames("coverage").some(({ work }) => work.some((one) => one.judge === "judge-1")),
      "coverage",
    );
    expect(chief.ids).not.toContain(judge.acknowledged[0]);
    judge.say({ frame: "holding", unsent: 7 });
    const presence = () => chief.frames("presence").at(-1)?.people ?? [];
    const seen = () => presence().find(({ device }) => device === "judge-1-tablet");
    await chief.until(() => seen()?.unsent === 1 && seen()?.online === true, "presence", 8_000);
    chief.say({ frame: "pace", count: 12 });
    await judge.until(() => judge.frames("pace").at(-1)?.count === 12, "the count");
    judge.drop();
    await chief.until(() => seen()?.online === false, "that it is gone");
  });

  it("[H143] ask a person about a further tablet at whichever hub they are, and hear the answer there", async () => {
    const chief = await here.desk.makeChief("laptop" as DeviceId);
    await here.desk.makeGrading(chief.token, aGradingId, "laptop" as DeviceId);
    const boss = await aChiefWithThePlan(here);
    const judge = await there.tablet("judge-1", ["judge"]);
    const isHere = () =>
      boss
        .frames("presence")
        .at(-1)
        ?.people.some(({ device, online }) => device === "judge-1-tablet" && online);
    await boss.until(() => isHere() === true, "that the judge is at the other hub");
    const admit = async (device: string) => {
      const admits = `${here.address}/api/gradings/${aGradingId}/devices/${device}/admit`;
      const answer = await fetch(admits, {
        method: "POST",
        headers: {
          authorization: `Bearer ${chief.token}`,
          "content-type": "application/json",
        },
        body: JSON.stringify({ person: "judge-1", roles: ["judge"] }),
      });
      return answer.status;
    };
    const code = await here.desk.code(aGradingId);
    for (const [device, yes, state] of [
      ["not-theirs", false, "refused"],
      ["theirs", true, "admitted"],
    ] as const) {
      const knock = { code, device: device as DeviceId, name: "Kim", wants: "judge" } as const;
      await here.desk.join({ ...knock, address: "10.0.0.9" });
      expect(await admit(device)).toBe(202);
      const isAsked = () => judge.frames("door-questions").at(-1)?.devices.length === 1;
      await judge.until(isAsked, "the question");
      judge.say({ frame: "door-answer", device: device as DeviceId, yes });
      const stateOf = async () =>
        (await here.desk.devices(aGradingId)).find((row) => row.device === device)?.state;
      await expect.poll(stateOf).toBe(state);
      await judge.until(() => !isAsked(), "that it is asked no more");
    }
  });

  it("[H150] let in as one person at the same moment, at either, one is the further one", async () => {
    const chief = await here.desk.makeChief("laptop" as DeviceId);
    await here.desk.makeGrading(chief.token, aGradingId, "laptop" as DeviceId);
    await aChiefWithThePlan(here);
    const code = await here.desk.code(aGradingId);
    for (let round = 0; round < 6; round++) {
      const person = `new-${round}`;
      const admits = [here, there].map(async ({ address, desk }, at) => {
        const device = `${person}-${at}` as DeviceId;
        await desk.join({ code, device, name: "Kim", wants: "judge", address: "10.0.0.9" });
        return () =>
          fetch(`${address}/api/gradings/${aGradingId}/devices/${device}/admit`, {
            method: "POST",
            headers: {
              authorization: `Bearer ${chief.token}`,
              "content-type": "application/json",
            },
            body: JSON.stringify({ person, roles: ["judge"] }),
          });
      });
      const answers = await Promise.all((await Promise.all(admits)).map((admit) => admit()));
      expect(answers.map(({ status }) => status)).toEqual([200, 200]);
      const { book } = await here.rooms.room(aGradingId);
      await vi.waitFor(() =>
        expect(letIns(book).filter((line) => line.person === person)).toHaveLength(1),
      );
    }
  });

  it("[H150] ask also at the first press at a hub where nobody has opened the test", async () => {
    const chief = await there.desk.makeChief("laptop" as DeviceId);
    await there.desk.makeGrading(chief.token, aGradingId, "laptop" as DeviceId);
    await aChiefWithThePlan(there);
    await there.tablet("judge-1", ["judge"]);
    const code = await here.desk.code(aGradingId);
    const device = "evil" as DeviceId;
    await here.desk.join({ code, device, name: "Kim", wants: "judge", address: "10.0.0.9" });
    const answer = await fetch(`${here.address}/api/gradings/${aGradingId}/devices/evil/admit`, {
      method: "POST",
      headers: { authorization: `Bearer ${chief.token}`, "content-type": "application/json" },
      body: JSON.stringify({ person: "judge-1", roles: ["judge"] }),
    });
    expect(answer.status).toBe(202);
  });

  it("[H25] send a tablet out at one hub that was revoked at the other, and take nothing from it", async () => {
    await aChiefWithThePlan(here);
    const judge = await there.tablet("judge-1", ["judge"]);
    await here.desk.revoke(aGradingId, "judge-1-tablet" as DeviceId);
    await judge.until(() => judge.isClosed, "the end");
    expect(judge.frames("bye")[0]?.fault.code).toBe("NOT_ADMITTED");
    const again = await there.tablet("judge-1", ["judge"]);
    expect(again.frames("bye")[0]?.fault.code).toBe("NOT_ADMITTED");
  });

  it("[H82] send a tablet out within two seconds at a hub that does not hear of it any more", async () => {
    await aChiefWithThePlan(here);
    const judge = await there.tablet("judge-1", ["judge"]);
    const other = await there.tablet("judge-2", ["judge"]);
    const listening = await runSql(
      url,
      "SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND application_name = 'evenhand-news'",
    );
    // The lines stand and say nothing, as where a network drops what goes over them.
    for (const { pid } of listening) process.kill(Number(pid), "SIGSTOP");
    try {
      const beganMs = performance.now();
      await here.desk.revoke(aGradingId, "judge-1-tablet" as DeviceId);
      await judge.until(() => judge.isClosed, "the end");
      expect(performance.now() - beganMs).toBeLessThan(2_000);
      expect(judge.frames("bye")[0]?.fault.code).toBe("NOT_ADMITTED");
      expect(other.isClosed).toBe(false);
    } finally {
      for (const { pid } of listening) process.kill(Number(pid), "SIGCONT");
    }
  });

  it("[H57] end a chief's device at both, whichever is told", async () => {
    await aChiefWithThePlan(here);
    const device = "lost" as DeviceId;
    const { token } = await there.desk.makeChief(device);
    await there.desk.makeGrading(token, aGradingId, device);
    const line = await ATablet.join(there.address, { token, grading: aGradingId, device });
    await line.until(() => line.frames("welcome").length === 1, "a welcome");
    await here.desk.revoke(aGradingId, device);
    await line.until(() => line.isClosed, "the end of its line");
    for (const hub of [here, there]) await expect(hub.desk.gradings(token)).rejects.toThrow();
    await expect(there.desk.makeGrading(token, aGradingId, device)).rejects.toThrow(/TOKEN_WRONG/);
  });

  it("[H25] show the chief at one hub who knocks at the other, and let in whom the chief admits", async () => {
    const chief = await aChiefWithThePlan(here);
    const code = await there.desk.code(aGradingId);
    const device = "new" as DeviceId;
    const { token } = await there.desk.join({
      code,
      device,
      name: "Bo",
      wants: "judge",
      address: "",
    });
    const waiting = () =>
      chief
        .frames("waiting")
        .at(-1)
        ?.devices.map((one) => one.device);
    await chief.until(() => waiting()?.[0] === "new", "the knock");
    const { person } = await here.desk.admit(aGradingId, device, { roles: ["judge"] });
    expect(await there.desk.admitted(token, aGradingId)).toMatchObject({ person });
    await chief.until(() => waiting()?.length === 0, "nobody at the door");
  });

  it("[H26] hang up when they cannot hear each other, and lose nothing that was written meanwhile", async () => {
    const chief = await aChiefWithThePlan(here);
    const judge = await there.tablet("judge-1", ["judge"]);
    // The administrator cuts every listening line.
    await runSql(
      url,
      "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND application_name = 'evenhand-news'",
    );
    await judge.until(() => judge.isClosed, "the end of the line");
    expect(judge.closeCode).toBe(1013);
    await chief.until(() => chief.isClosed, "the end of the chief's line");
    const marks = [aMark(penOf("judge-1")), aMark(penOf("judge-1"))];
    let back = judge;
    for (;;) {
      back = await there.tablet("judge-1", ["judge"]);
      if (back.frames("welcome").length > 0) break;
      expect(back.closeCode).toBe(1013);
      await new Promise((done) => setTimeout(done, 100));
    }
    back.append(...marks);
    await back.until(() => back.acknowledged.length === 2, "acknowledgements");
    const again = await here.tablet("chief", ["chief"]);
    await again.until(
      () =>
        again.frames("coverage").some(({ work }) => work.some((one) => one.judge === "judge-1")),
      "the marks at the other hub",
    );
  });
});

describe("a hub with the rights of docs/federation.md", () => {
  it("[L128] says that it may not take an erased name off the disk: to the chief, and where it was started", async () => {
    const address = await asAHallOf(url);
    const { named, sides } = candidatesByName(day, ["candidate-1" as CandidateId]);
    const chief = await here.tablet("chief", ["chief"]);
    chief.say({ frame: "append", entries: [...day.plan, ...named] as AnyEntry[], sides });
    await chief.until(() => named.every(({ id }) => chief.acknowledged.includes(id)), "the plan");
    // Whoever owns the tables would sweep for it.
    await Promise.all([here.stop(), there.stop()]);
    const told: Fault[] = [];
    await there.startAgain({ store: address, onTrouble: (fault) => told.push(fault) });
    const again = await there.tablet("chief", ["chief"]);
    day.chief.hear(1000);
    again.append(day.chief.write("erased", { about: "candidate-1" as PersonId }) as AnyEntry);
    await again.until(() => again.refused.length > 0, "that it waits");
    const [{ id, fault } = { id: "", fault: undefined }] = again.frames("refuse");
    expect([id, fault?.code]).toEqual([null, "ERASED_WAITS"]);
    expect(fault?.with?.detail).toContain("VACUUM FULL sides, devices");
    await expect.poll(() => told.map(({ code }) => code)).toEqual(["ERASED_WAITS"]);
    // Whoever comes later hears of it too.
    const later = await there.tablet("chief", ["chief"], { device: "chief-2" });
    await later.until(() => later.refused.length > 0, "that it waits");
  });
});

describe("a tablet whose hub is away", () => {
  it("[H34] is told where else its test is served, also of a hub that starts later", async () => {
    const judge = await here.tablet("judge-1", ["judge"]);
    const told = () => judge.frames("hubs").at(-1)?.addresses ?? [];
    await judge.until(() => told().includes(there.address), "the neighbour");
    expect(told()).toContain(here.address);
    const late = await AHub.start({ store: url });
    await judge.until(() => told().includes(late.address), "the new neighbour");
    await late.end();
  });

  it("[H34] may bring a page of one hub to the line of another, and to nothing else there", async () => {
    await aChiefWithThePlan(here);
    const judge = await here.tablet("judge-1", ["judge"]);
    await judge.until(() => judge.frames("hubs").length > 0, "the neighbours");
    const origin = here.address;
    const line = await ATablet.dial(there.address, { origin });
    expect(line.isClosed).toBe(false);
    const stranger = await ATablet.dial(there.address, { origin: "http://127.0.0.1:1" });
    await stranger.until(() => stranger.isClosed, "a refusal");
    const door = await fetch(`${there.address}/api/me`, { headers: { origin } });
    expect([door.status, await door.json()]).toMatchObject([403, { code: "ORIGIN_WRONG" }]);
  });
});

describe("a rule that depends on the book", () => {
  const on = (person: string, device = `${person}-tablet`) => ({
    person: person as PersonId,
    roles: person === "chief" ? (["chief"] as const) : (["judge"] as const),
    device: device as DeviceId,
  });

  it("[H27] holds between hubs that have heard nothing of each other: a line locked at one takes no mark at the other", async () => {
    const [one, other] = [
      await openStore(here.folder, url, testBooks),
      await openStore(there.folder, url, testBooks),
    ];
    try {
      // Rooms without news: what they know of each other they know from the store alone.
      const [a, b] = [
        await GradingRoom.open(aGradingId, one.store, "hub"),
        await GradingRoom.open(aGradingId, other.store, "hub"),
      ];
      await a.handIn(on("chief"), day.plan);
      const spare = aPen("judge-1", "judge-1-spare");
      spare.hear(day.plan.length);
      const before = aMark(spare, { candidate: "candidate-1" });
      // B has not read the plan: not seated, not assigned. It looks before it refuses.
      expect(await b.handIn(on("judge-1", "judge-1-spare"), [before])).toEqual({
        kept: [before.id],
        refused: [],
      });
      const locked = theLock("judge-1");
      const { kept } = await a.handIn(on("judge-1"), locked);
      expect(kept.length).toBe(locked.length);
      spare.hear(1000);
      const late = aMark(spare, { candidate: "candidate-2" });
      const answer = await b.handIn(on("judge-1", "judge-1-spare"), [late]);
      expect(answer.kept).toEqual([]);
      expect(answer.refused.map(({ fault }) => fault.code)).toEqual(["ALREADY_LOCKED"]);
      await a.refresh();
      const ids = (room: GradingRoom) =>
        room
          .feed(on("chief"))
          .after(0)
          .map(({ entry, seq }) => `${seq} ${entry.id}`);
      expect(ids(b)).toEqual(ids(a));
      expect(ids(a)).not.toContain(late.id);
    } finally {
      await one.close();
      await other.close();
    }
  });

  it("[H27] keeps everybody's entries under load at both, and both hubs say the same", async () => {
    const [one, other] = [
      await openStore(here.folder, url, testBooks),
      await openStore(there.folder, url, testBooks),
    ];
    try {
      const rooms = [
        await GradingRoom.open(aGradingId, one.store, "hub"),
        await GradingRoom.open(aGradingId, other.store, "hub"),
      ] as const;
      await rooms[0].handIn(on("chief"), day.plan);
      const marking = rooms.map(async (room, index) => {
        const person = `judge-${index + 1}`;
        const kept: string[] = [];
        for (let n = 0; n < 40; n++)
          kept.push(
            ...(await room.handIn(on(person), [aMark(penOf(person), { level: 1 + (n % 4) })])).kept,
          );
        return kept;
      });
      const kept = await Promise.all(marking);
      expect(kept.map((ids) => ids.length)).toEqual([40, 40]);
      await Promise.all(rooms.map((room) => room.refresh()));
      const [a, b] = rooms.map((room) => room.feed(on("chief")).length);
      expect(a).toBe(b);
      expect(rooms[0].upTo).toBe(day.plan.length + 80);
      expect(rooms[1].coverage()).toEqual(rooms[0].coverage());
    } finally {
      await one.close();
      await other.close();
    }
  });
});
