import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { v7 as uuidv7 } from "uuid";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { Pen } from "../../src/belt-test/scorebook/pen.ts";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { copyByCommand } from "../../src/command-line/copy-by-command.ts";
import { SheetLinks } from "../../src/hub/door/sheet-links.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { storeHomeAt } from "../../src/hub/store/open-store.ts";
import { openRevokedLog } from "../../src/hub/store/revoked-log.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aPostgresDatabase, runSql } from "../builders/a-postgres-database.ts";
import { aFolder, run } from "../command-line/run.ts";

/** The invented test that comes with the product; nobody in it exists. */
const demo = JSON.parse(
  readFileSync(new URL("../../demo-data/finished-test.json", import.meta.url), "utf8"),
) as { grading: GradingId; sides: SideRecord[] };
const someone = demo.sides.find(({ body }) => body.given) as SideRecord;

let store: string;
let folder: string;
const running: RunningHub[] = [];
/** A hub on a machine of its own, with copies of its own. */
async function aHub(name: string) {
  const dataFolder = join(folder, name);
  const copies = join(dataFolder, "backups");
  const hub = await startHub({
    port: 0,
    host: "127.0.0.1",
    dataFolder,
    store,
    backups: {
      folder: copies,
      everyMinutes: 10,
      copy: copyByCommand(storeHomeAt({ dataFolder, address: store }, testBooks)),
    },
  });
  running.push(hub);
  const chief = await hub.desk.makeChief(`${name}-laptop` as DeviceId);
  const copyNow = async () => {
    await fetch(`http://127.0.0.1:${hub.port}/api/backups`, {
      method: "POST",
      headers: { authorization: `Bearer ${chief.token}` },
    });
    return readdirSync(copies);
  };
  const noted = (file: string) => {
    const path = join(dataFolder, file);
    return existsSync(path) ? readFileSync(path, "utf8") : "";
  };
  return { hub, copyNow, noted, copies: () => readdirSync(copies) };
}
beforeEach(async () => {
  store = await aPostgresDatabase();
  folder = aFolder({ "demo.json": demo });
  await run(folder, ["import", "demo.json", "--store", store]);
});
afterEach(async () => {
  for (const hub of running.splice(0)) await hub.close();
});

describe("what was taken away at one of two hubs", () => {
  it("[L15] an erasing is noted at the other too, where nobody has the test open, and its copies from before go", async () => {
    const [here, there] = [await aHub("here"), await aHub("there")];
    const before = await there.copyNow();
    expect(before).toHaveLength(1);
    const room = await here.hub.rooms.room(demo.grading);
    const chief = room.book.plan.seats.find(({ roles }) => roles.includes("chief"))?.person;
    const { person, device } = { person: chief as PersonId, device: "laptop" as DeviceId };
    const pen = new Pen({
      grading: demo.grading,
      person,
      device,
      lamport: room.book.lamport,
      makeId: uuidv7,
      nowMs: Date.now,
    });
    const about = someone.about as CandidateId;
    const erased = pen.write("erased", { about });
    expect(await room.handIn({ person, roles: ["chief"], device }, [erased])).toMatchObject({
      refused: [],
    });
    await vi.waitFor(() => expect(there.noted("erased.jsonl")).toContain(about), 10_000);
    await vi.waitFor(() => {
      const after = there.copies();
      expect(after).toHaveLength(1);
      expect(after).not.toEqual(before);
    }, 10_000);
  });

  it("[L109] an older copy in the database's place is noticed by whoever has read further, and served by whoever begins again", async () => {
    const here = await aHub("here");
    const room = await here.hub.rooms.room(demo.grading);
    const { upTo } = room;
    await runSql(
      store,
      `ALTER TABLE entries DISABLE TRIGGER USER; DELETE FROM entries WHERE seq > ${upTo - 5};
       ALTER TABLE entries ENABLE TRIGGER USER`,
    );
    const { fault } = await here.hub.failed;
    expect(fault).toMatchObject({ code: "STORE_PUT_BACK" });
    await here.hub.close();
    const again = await aHub("here");
    expect((await again.hub.rooms.room(demo.grading)).upTo).toBe(upTo - 5);
  });

  it("[L15] so is an erasing by command, and by a hub that comes later", async () => {
    const here = await aHub("here");
    const before = await here.copyNow();
    await run(folder, ["erase", someone.about, "--store", store, "--data", "office"]);
    const later = await aHub("later");
    expect(later.noted("erased.jsonl")).toContain(someone.about);
    expect(here.noted("erased.jsonl")).toBe("");
    await here.hub.close();
    const again = await aHub("here");
    expect(again.noted("erased.jsonl")).toContain(someone.about);
    await vi.waitFor(() => expect(again.copies()).not.toContain(before[0]), 10_000);
  });

  it("[L24] a family's link is noted at both, so that neither's copy opens it again", async () => {
    const here = await aHub("here");
    const there = await aHub("there");
    const links = new SheetLinks(here.hub.desk.tables, Date.now);
    const link = await links.make(demo.grading, someone.about as CandidateId, 14);
    const [copy = ""] = await there.copyNow();
    await here.hub.close();
    openRevokedLog(join(folder, "here")).note([{ link: link.id, at: new Date().toISOString() }]);
    const again = new SheetLinks((await aHub("here")).hub.desk.tables, Date.now);
    await expect(again.opened(link.token)).rejects.toThrow("LINK_WRONG");
    await vi.waitFor(() => expect(there.noted("revoked.jsonl")).toContain(link.id), 10_000);
    const other = await aPostgresDatabase();
    const file = join("there", "backups", copy);
    const said = await run(folder, ["restore", file, "--store", other, "--data", "there"]);
    expect(said.out).toContain("1 family's link that was taken back since that backup opens");
  });

  it("[H145] a role that was taken away is noted at both, so that neither's copy gives it back", async () => {
    const [here, there] = [await aHub("here"), await aHub("there")];
    const { desk } = here.hub;
    const device = "helping" as DeviceId;
    const knock = { device, name: "", wants: "judge", address: "" } as const;
    const laptop = "other-laptop" as DeviceId;
    await desk.makeGrading((await desk.makeChief(laptop)).token, demo.grading, laptop);
    const { token } = await desk.join({ ...knock, code: await desk.code(demo.grading) });
    const { person } = await desk.admit(demo.grading, device, { roles: ["chief"] });
    const [copy = ""] = await there.copyNow();
    await desk.admit(demo.grading, device, { person, roles: ["judge"] });
    await vi.waitFor(() => expect(there.noted("stands.jsonl")).toContain('"judge"'), 10_000);
    const other = await aPostgresDatabase();
    const file = join("there", "backups", copy);
    await run(folder, ["restore", file, "--store", other, "--data", "there"]);
    const restored = await startHub({
      port: 0,
      host: "127.0.0.1",
      dataFolder: join(folder, "there"),
      store: other,
    });
    expect((await restored.desk.admitted(token, demo.grading)).roles).toEqual(["judge"]);
    await restored.close();
  });
});
