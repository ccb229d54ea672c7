import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import type { DeviceId, GradingId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { vouchedSideId } from "../../src/book/vouched-id.ts";
import { copyByCommand } from "../../src/command-line/copy-by-command.ts";
import { forgetAtDoor } from "../../src/hub/forgetting/forget-at-door.ts";
import { startHub } from "../../src/hub/main.ts";
import { storeHomeAt } from "../../src/hub/store/open-store.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { sideDigest } from "../../src/line/make-side-record.ts";
import { madeOnce } from "./made-once.ts";
import { aFolder, run } from "./run.ts";

/** The invented test that comes with the product; nobody in it exists. */
const demo = JSON.parse(
  readFileSync(new URL("../../demo-data/finished-test.json", import.meta.url), "utf8"),
) as { grading: GradingId; sides: SideRecord[] };

/** Its candidates, with what is kept of each in its records. */
function candidates(): { about: string; records: SideRecord[]; body: Record<string, unknown> }[] {
  const abouts = demo.sides.flatMap(({ kind, about }) => (kind === "candidate" ? [about] : []));
  return [...new Set(abouts)].map((about) => {
    const records = demo.sides.filter((one) => one.about === about);
    return { about, records, body: Object.assign({}, ...records.map(({ body }) => body)) };
  });
}

/** Somebody of it. */
let folder: string;
let name: string;
let given: string;

const aDemoStore = madeOnce(async () => {
  const folder = aFolder({ "book.json": demo });
  await run(folder, ["import", "book.json"]);
  return folder;
});
beforeEach(async () => {
  folder = await aDemoStore();
  const [first] = candidates();
  given = String(first?.body.given);
  name = `${given} ${first?.body.family}`;
});

/** A hub over the test that came in, with a chief, and the code with which others knock. */
async function aHallWithADoor() {
  const data = join(folder, "evenhand-data");
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: data });
  const { desk } = hub;
  const device = "chief-laptop" as DeviceId;
  const { token } = await desk.claim(await desk.newKey(), device);
  await desk.makeGrading(token, demo.grading, device);
  return { data, hub, desk, code: await desk.code(demo.grading) };
}

const verified = async (data = "evenhand-data") =>
  JSON.parse((await run(folder, ["verify", "--json", "--data", data])).out);

describe("erase", () => {
  it("[L14] forgets a person by name, keeps every entry and a sound record, and counts what is gone", async () => {
    const before = await verified();
    expect(before.tests[0].gone).toBe(0);
    const said = await run(folder, ["erase", `  ${name.toUpperCase()} `]);
    expect(said).toMatchObject({ code: 0, err: "" });
    expect(said.out).toMatch(/^erased .+ from [\w-]+: \d+ records?/);
    const after = await verified();
    expect(after).toMatchObject({ sound: true });
    expect(after.tests[0].entries).toBe(before.tests[0].entries + 1);
    expect(after.tests[0].gone).toBeGreaterThan(0);
    expect((await run(folder, ["verify"])).out).toContain("erased of");
    expect((await run(folder, ["export"])).out).not.toContain(given);
  });

  it("[L14] leaves no byte of the name anywhere in the folder", async () => {
    await run(folder, ["erase", name]);
    const data = join(folder, "evenhand-data");
    for (const file of readdirSync(data))
      expect(readFileSync(join(data, file)).toString("latin1")).not.toContain(given);
  });

  it("[L102] names the older stores in the folder that still hold the name", async () => {
    await run(folder, ["backup", "before.sqlite"]);
    await run(folder, ["restore", "before.sqlite", "--set-aside"]);
    const data = join(folder, "evenhand-data");
    const aside = readdirSync(data).find((file) => file.includes(".aside-")) ?? "";
    const said = await run(folder, ["erase", name]);
    expect(said.err).toContain(aside);
    expect(said.err).toContain("still holds what was erased");
    // The chief's page says the same.
    const hub = await startHub({
      port: 0,
      host: "127.0.0.1",
      dataFolder: data,
      backups: { folder: join(folder, "stick"), everyMinutes: 0, copy: async () => undefined },
    });
    const chief = await hub.desk.makeChief("chief-tablet" as DeviceId);
    const headers = { authorization: `Bearer ${chief.token}` };
    const asked = await fetch(`http://127.0.0.1:${hub.port}/api/backups`, { headers });
    expect(await asked.json()).toMatchObject({ backups: { beside: [aside] } });
    await hub.close();
  });

  it("[L15] [H186] a backup from before brings nobody back where it is restored beside the note of who was erased", async () => {
    await run(folder, ["backup", "before.sqlite"]);
    await run(folder, ["erase", name]);
    mkdirSync(join(folder, "new"));
    copyFileSync(
      join(folder, "evenhand-data", "erased.jsonl"),
      join(folder, "new", "erased.jsonl"),
    );
    const restored = await run(folder, ["restore", "before.sqlite", "--data", "new"]);
    expect(restored.out).toMatch(/of people erased since that backup went again/);
    const exported = (await run(folder, ["export", "--data", "new"])).out;
    expect(exported).not.toContain(given);
    expect(exported.match(/"kind": ?"erased"/g)).toHaveLength(1);
  });

  it("[L15] a hub that starts after an erasing by command puts a new copy in the place of those from before", async () => {
    const data = join(folder, "evenhand-data");
    const copies = join(data, "backups");
    mkdirSync(copies);
    const before = join(copies, "evenhand-20260606T100000000Z.sqlite");
    await run(folder, ["backup", before]);
    expect(readFileSync(before).toString("latin1")).toContain(given);
    await run(folder, ["erase", name]);
    const hub = await startHub({
      port: 0,
      host: "127.0.0.1",
      dataFolder: data,
      backups: {
        folder: copies,
        everyMinutes: 10,
        copy: copyByCommand(storeHomeAt({ dataFolder: data }, testBooks)),
      },
    });
    await hub.close();
    const [copy, ...others] = readdirSync(copies);
    expect(others).toEqual([]);
    expect(readFileSync(join(copies, copy ?? "")).toString("latin1")).not.toContain(given);
  });

  it("[L15] a file from before brings nobody back either", async () => {
    const { out } = await run(folder, ["export"]);
    await run(folder, ["erase", name]);
    writeFileSync(join(folder, "before.json"), out);
    expect((await run(folder, ["import", "before.json"])).code).toBe(0);
    expect((await run(folder, ["export"])).out).not.toContain(given);
  });

  it("[H99] finds whoever knocked and was turned away, under the name that was given, and does not bring them back", async () => {
    const { data, hub, desk, code } = await aHallWithADoor();
    const { grading } = demo;
    const knock = async (device: string, name: string) => {
      const knocks = { code, device: device as DeviceId, name };
      await desk.join({ ...knocks, wants: "judge", address: "192.168.1.9" });
      await desk.refuse(grading, device as DeviceId);
    };
    await knock("stranger-1", "Petronella Vandersloot");
    await knock("stranger-2", "Somebody Else");
    await hub.close();
    await run(folder, ["backup", "before.sqlite"]);
    const said = await run(folder, ["erase", "petronella  vandersloot"]);
    expect(said).toMatchObject({ code: 0, err: "" });
    const bytes = (at: string) =>
      readdirSync(at)
        .filter((file) => file.startsWith("evenhand.sqlite"))
        .map((file) => readFileSync(join(at, file)).toString("latin1"))
        .join();
    expect(bytes(data)).not.toContain("Petronella");
    expect(bytes(data)).toContain("Somebody Else");
    const other = join(folder, "new");
    mkdirSync(other);
    copyFileSync(join(data, "erased.jsonl"), join(other, "erased.jsonl"));
    await run(folder, ["restore", "before.sqlite", "--data", "new"]);
    expect(bytes(other)).not.toContain("Petronella");
    expect(bytes(other)).toContain("Somebody Else");
  });

  it("[H147] lets the name of a knock that was turned away go where somebody of that name is erased on the page", async () => {
    const { hub, desk, code } = await aHallWithADoor();
    const { grading } = demo;
    for (const [device, name] of [
      ["first", "Ines Halvorsen"],
      ["second", "ines halvorsen "],
      ["third", "Otto"],
      ["fourth", "Ines  Halvorsen-Brandt"],
    ] as const)
      await desk.join({ code, device: device as DeviceId, name, wants: "judge", address: "a" });
    await desk.refuse(grading, "second" as DeviceId);
    await desk.refuse(grading, "third" as DeviceId);
    const { person } = await desk.admit(grading, "first" as DeviceId, { roles: ["judge"] });
    await forgetAtDoor(desk.tables, grading, person, ["Ines Halvorsen-Brandt"]);
    const names = new Map((await desk.devices(grading)).map((row) => [row.device, row.name]));
    await hub.close();
    const called = ["first", "second", "third", "fourth"].map((one) => names.get(one as DeviceId));
    expect(called).toEqual(["", "", "Otto", ""]);
  });

  it("says what would go, and changes nothing, when asked", async () => {
    const said = await run(folder, ["erase", name, "--dry-run"]);
    expect(said.out).toMatch(/^would erase /);
    expect((await run(folder, ["export"])).out).toContain(given);
  });

  it("says when nobody is meant, when two are, and what to give", async () => {
    expect(await run(folder, ["erase", "Nobody Known"])).toMatchObject({ code: 2, out: "" });
    expect((await run(folder, ["erase"])).err).toContain("Name the one person");
    const [first, second] = candidates();
    if (!first || !second) throw new Error("two candidates");
    let book = JSON.stringify(demo);
    for (const [at, record] of second.records.entries()) {
      const twin = { ...record, body: first.records[at]?.body ?? {} };
      const digest = sideDigest(twin);
      book = book
        .replace(JSON.stringify(record), JSON.stringify(twin))
        .replaceAll(sideDigest(record), digest)
        .replaceAll(record.id, vouchedSideId({ ...twin, digest }));
    }
    const twins = aFolder({ "book.json": JSON.parse(book) });
    await run(twins, ["import", "book.json"]);
    const said = await run(twins, ["erase", name]);
    expect(said.code).toBe(2);
    expect(said.err).toContain(second.about);
    expect((await run(twins, ["erase", second.about])).code).toBe(0);
  });
});
