import { copyFileSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { openStore } from "../../src/hub/store/open-store.ts";
import { hubPen } from "../../src/hub/test-room/hub-pen.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aMarkedDay } from "../builders/a-marked-day.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aFolder, run } from "./run.ts";

const released = "candidate-1" as CandidateId;
/** A marked test in which the first candidate's sheet is released. */
function aBook() {
  const { day, entries } = aMarkedDay();
  const verdict = day.chief.write("verdict", {
    candidate: released,
    result: "pass",
    retestSections: [],
    computed: "pass",
    basis: fold(entries).basis,
  });
  const sheet = day.chief.write("sheet-released", { candidate: released });
  return scorebookFile(aGradingId, [...entries, verdict, sheet], []);
}

let folder: string;
let hub: RunningHub | undefined;
beforeEach(async () => {
  folder = aFolder({ "book.json": aBook() });
  await run(folder, ["import", "book.json"]);
});
afterEach(async () => {
  await hub?.close();
  hub = undefined;
});

/** Somebody is let in as a judge, and the hub is stopped. @returns who they are in the book. */
async function ottoWasLetIn(): Promise<PersonId> {
  await at("evenhand-data");
  const { desk } = hub as RunningHub;
  const code = await desk.code(aGradingId);
  const knock = { code, wants: "judge", address: "", name: "Otto Lindqvist" } as const;
  await desk.join({ ...knock, device: "first" as DeviceId });
  const { person } = await desk.admit(aGradingId, "first" as DeviceId, { roles: ["judge"] });
  await (hub as RunningHub).close();
  hub = undefined;
  return person;
}

/** The hub at work on this folder, asked as its chief or as whoever holds a link. */
async function at(data: string) {
  await hub?.close();
  hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder: join(folder, data) });
  const device = "laptop" as DeviceId;
  const { token } = await hub.desk.makeChief(device);
  await hub.desk.makeGrading(token, aGradingId, device);
  const { port } = hub;
  const ask = (path: string, by: string, body?: object) =>
    fetch(`http://127.0.0.1:${port}/api/${path}`, {
      method: body ? "POST" : "GET",
      headers: { authorization: `Bearer ${by}`, "content-type": "application/json" },
      ...(body && { body: JSON.stringify(body) }),
    });
  const links = `gradings/${aGradingId}/sheet-links`;
  return {
    ask,
    token,
    async aLink(): Promise<{ id: string; token: string }> {
      const answer = await ask(links, token, { candidate: released });
      return ((await answer.json()) as { link: { id: string; token: string } }).link;
    },
    revoke: async (id: string) => (await ask(`${links}/${id}/revoke`, token, {})).status,
    async revokeByAnother(id: string) {
      const other = "grading-2" as GradingId;
      await hub?.desk.makeGrading(token, other, device);
      return (await ask(`gradings/${other}/sheet-links/${id}/revoke`, token, {})).status;
    },
    opens: async (link: string) => (await ask("sheet", link)).status === 200,
  };
}

describe("a family's link that was taken back", () => {
  it("[L24] opens nothing after a copy from before is restored; others open as before", async () => {
    const before = await at("evenhand-data");
    const [gone, stays] = [await before.aLink(), await before.aLink()];
    expect([await before.opens(gone.token), await before.opens(stays.token)]).toEqual([true, true]);
    await run(folder, ["backup", "before.sqlite"]);
    expect(await before.revoke(gone.id)).toBe(200);
    await hub?.close();
    hub = undefined;
    const said = await run(folder, ["restore", "before.sqlite", "--set-aside"]);
    expect(said.out).toContain("1 family's link that was taken back since that backup opens");
    const after = await at("evenhand-data");
    expect([await after.opens(gone.token), await after.opens(stays.token)]).toEqual([false, true]);
    // The note says nothing of whose it was, and opens nothing itself.
    const note = readFileSync(join(folder, "evenhand-data", "revoked.jsonl"), "utf8");
    expect(note).toContain(gone.id);
    expect(note).not.toContain(gone.token);
    expect(note).not.toContain(released);
  });

  it("[L24] opens nothing either where somebody puts the file back by hand", async () => {
    const before = await at("evenhand-data");
    const gone = await before.aLink();
    await run(folder, ["backup", "before.sqlite"]);
    await before.revoke(gone.id);
    await hub?.close();
    hub = undefined;
    mkdirSync(join(folder, "new"));
    copyFileSync(join(folder, "before.sqlite"), join(folder, "new", "evenhand.sqlite"));
    expect(await (await at("new")).opens(gone.token)).toBe(true);
    copyFileSync(
      join(folder, "evenhand-data", "revoked.jsonl"),
      join(folder, "new", "revoked.jsonl"),
    );
    const after = await at("new");
    expect(await after.opens(gone.token)).toBe(false);
  });

  it("[L24] is no other test's to take back, and a try leaves no note", async () => {
    const here = await at("evenhand-data");
    const link = await here.aLink();
    expect(await here.revokeByAnother(link.id)).toBe(404);
    expect(await here.opens(link.token)).toBe(true);
    const again = await at("evenhand-data");
    expect(await again.opens(link.token)).toBe(true);
  });

  it("[H57] lets no device in again that was shut out after the copy, and keeps no secret of it", async () => {
    await at("evenhand-data");
    const device = "lost" as DeviceId;
    const lost = (await hub?.desk.makeChief(device))?.token ?? "";
    await hub?.desk.makeGrading(lost, aGradingId, device);
    await run(folder, ["backup", "before.sqlite"]);
    await hub?.desk.revoke(aGradingId, device);
    await hub?.close();
    hub = undefined;
    await run(folder, ["restore", "before.sqlite", "--set-aside"]);
    const door = () => hub;
    await at("evenhand-data");
    await expect(door()?.desk.gradings(lost)).rejects.toThrow(/TOKEN_WRONG/);
    const note = readFileSync(join(folder, "evenhand-data", "ended.jsonl"), "utf8");
    expect(note).not.toContain(lost);
  });

  /** A tablet let in as chief of the test beside the hub's own, and what it may after a copy from then was put back. */
  async function afterOlderCopy(since: (device: DeviceId, person: PersonId) => Promise<unknown>) {
    await at("evenhand-data");
    const device = "helping" as DeviceId;
    const desk = () => hub?.desk as RunningHub["desk"];
    const knock = { device, name: "", wants: "judge", address: "" } as const;
    const { token } = await desk().join({ ...knock, code: await desk().code(aGradingId) });
    const { person } = await desk().admit(aGradingId, device, { roles: ["chief", "judge"] });
    await run(folder, ["backup", "before.sqlite"]);
    await since(device, person);
    await hub?.close();
    hub = undefined;
    await run(folder, ["restore", "before.sqlite", "--set-aside"]);
    await at("evenhand-data");
    return { token, person, stands: await desk().admitted(token, aGradingId) };
  }

  it("[H145] makes nobody chief again whom the chief had made a judge", async () => {
    const lessened = await afterOlderCopy((device, person) =>
      (hub as RunningHub).desk.admit(aGradingId, device, { person, roles: ["judge"] }),
    );
    expect(lessened.stands).toMatchObject({ person: lessened.person, roles: ["judge"] });
    await (hub as RunningHub).close();
    hub = undefined;
    const note = readFileSync(join(folder, "evenhand-data", "stands.jsonl"), "utf8");
    expect(note).not.toContain(lessened.token);
  });

  it("[H145] takes the last word, also where the clock was set back between two", async () => {
    const { stands } = await afterOlderCopy(async (device, person) => {
      const { desk } = hub as RunningHub;
      await desk.admit(aGradingId, device, { person, roles: ["judge"] });
      await desk.admit(aGradingId, device, { person, roles: ["caller"] });
      vi.useFakeTimers({ toFake: ["Date"], now: Date.now() - 86_400_000 });
      await desk.admit(aGradingId, device, { person, roles: ["desk"] });
      vi.useRealTimers();
    });
    expect(stands).toMatchObject({ roles: ["desk"] });
  });

  it("[H146] opens no hub with a key that was used or replaced after the copy", async () => {
    await at("evenhand-data");
    const used = (await hub?.desk.newKey()) ?? "";
    await run(folder, ["backup", "before.sqlite"]);
    await hub?.desk.claim(used, "new-tablet" as DeviceId);
    await hub?.close();
    hub = undefined;
    await run(folder, ["restore", "before.sqlite", "--set-aside"]);
    await at("evenhand-data");
    const claimed = (hub as unknown as RunningHub).desk.claim(used, "thief" as DeviceId);
    await expect(claimed).rejects.toThrow(/KEY_WRONG/);
  });

  it("[H147] gives nobody's name back to a device that only knocked under it", async () => {
    await at("evenhand-data");
    const { desk } = hub as RunningHub;
    const code = await desk.code(aGradingId);
    const knock = { code, wants: "judge", address: "", name: "Otto Lindqvist" } as const;
    for (const device of ["first", "second"] as DeviceId[]) await desk.join({ ...knock, device });
    const first = "first" as DeviceId;
    const { person } = await desk.admit(aGradingId, first, { roles: ["judge"] });
    await hub?.close();
    hub = undefined;
    await run(folder, ["backup", "before.sqlite"]);
    await run(folder, ["erase", person]);
    await run(folder, ["restore", "before.sqlite", "--set-aside"]);
    const stored = readFileSync(join(folder, "evenhand-data", "evenhand.sqlite"), "latin1");
    expect(stored.includes("Otto Lindqvist")).toBe(false);
  });

  it("[H159] gives no name back to somebody who still waited at the door of the copy, nor to a stranger", async () => {
    const { ask, token } = await at("evenhand-data");
    const { desk } = hub as RunningHub;
    const code = await desk.code(aGradingId);
    const knock = { code, wants: "judge", address: "" } as const;
    const [otto, stranger] = ["first", "pawn"] as DeviceId[] as [DeviceId, DeviceId];
    await desk.join({ ...knock, name: "Otto Lindqvist", device: otto });
    await desk.join({ ...knock, name: "Pia Unbidden", device: stranger });
    await run(folder, ["backup", "before.sqlite"]);
    await desk.admit(aGradingId, otto, { roles: ["judge"] });
    const answer = await ask("names-kept/erase", token, { grading: aGradingId, isDry: false });
    expect(answer.status).toBe(200);
    await hub?.close();
    hub = undefined;
    await run(folder, ["restore", "before.sqlite", "--set-aside"]);
    const stored = readFileSync(join(folder, "evenhand-data", "evenhand.sqlite"), "latin1");
    for (const name of ["Otto Lindqvist", "Pia Unbidden"])
      expect(stored.includes(name)).toBe(false);
  });

  it.each(["a start", "export", "backup"])(
    "[H158] what a hub was kept from erasing is done by %s, also in a test that nobody opens",
    async (next) => {
      const person = await ottoWasLetIn();
      // The line alone, as a hub leaves it whose disk was full.
      const opened = await openStore(join(folder, "evenhand-data"), undefined, testBooks);
      const lines = await opened.store.read(aGradingId, 0);
      const { pen } = hubPen(fold(lines.map(({ entry }) => entry)), aGradingId, Date.now());
      await opened.store.append(aGradingId, [pen.write("erased", { about: person })]);
      await opened.close();
      const stored = join(folder, "evenhand-data", "evenhand.sqlite");
      const isIn = (path: string) => readFileSync(path, "latin1").includes("Otto Lindqvist");
      expect(isIn(stored)).toBe(true);
      if (next === "a start") {
        await at("evenhand-data");
        await (hub as unknown as RunningHub).close();
        hub = undefined;
      } else if (next === "export") await run(folder, ["export", "--out", "out"]);
      else await run(folder, ["backup", "out"]);
      expect(isIn(stored)).toBe(false);
      if (next !== "a start") expect(isIn(join(folder, "out"))).toBe(false);
      expect(readFileSync(join(folder, "evenhand-data", "erased.jsonl"), "utf8")).toContain(person);
    },
  );

  it.each(["export", "backup"])(
    "[L99] %s hands out nobody who was erased, where an older copy was put beside the notes by hand",
    async (command) => {
      const person = await ottoWasLetIn();
      await run(folder, ["backup", "before.sqlite"]);
      await run(folder, ["erase", person]);
      const stored = join(folder, "evenhand-data", "evenhand.sqlite");
      for (const rest of ["", "-wal", "-shm"]) rmSync(`${stored}${rest}`, { force: true });
      copyFileSync(join(folder, "before.sqlite"), stored);
      const out = command === "export" ? ["--out", "out"] : [];
      const file = command === "export" ? "out" : "again.sqlite";
      const said = await run(folder, [command, ...(command === "export" ? [] : [file]), ...out]);
      expect(said.code).toBe(0);
      const isIn = (path: string) => readFileSync(path, "latin1").includes("Otto Lindqvist");
      expect(isIn(join(folder, file))).toBe(false);
      expect(isIn(stored)).toBe(false);
    },
  );

  it("[H154] finds and forgets whoever's name was corrected, by the name that stands, and whoever knocked under either", async () => {
    const { day, entries } = aMarkedDay();
    const chance = { random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)) };
    const aName = (about: string, body: object) =>
      makeSideRecord(
        {
          grading: aGradingId,
          about: about as CandidateId,
          kind: "candidate",
          body: body as never,
        },
        chance,
      );
    const lines: AnyEntry[] = [];
    const sides: SideRecord[] = [];
    const children = Array.from({ length: 8 }, (_, at) => `child-${at}`);
    for (const kind of ["Old", "New"])
      for (const [at, child] of children.entries()) {
        const given = aName(child, { given: `${kind}given${at}x` });
        const rest = aName(child, { family: `${kind}family${at}x`, birthYear: 2016 });
        sides.push(given.record, rest.record);
        const body = { candidate: child as CandidateId, number: 50 + at, rubric: day.rubric.id };
        lines.push(day.chief.write("entered", { ...body, given: given.ref, details: rest.ref }));
      }
    writeFileSync(
      join(folder, "named.json"),
      JSON.stringify(scorebookFile(aGradingId, [...entries, ...lines], sides)),
    );
    const said = await run(folder, ["import", "named.json", "--data", "named"]);
    expect([said.err, said.code]).toEqual([expect.anything(), 0]);
    await at("named");
    const { desk } = hub as RunningHub;
    const code = await desk.code(aGradingId);
    for (const [at] of children.entries())
      for (const kind of ["Old", "New"]) {
        const knock = { code, wants: "judge", address: "" } as const;
        const device = `knock-${kind}-${at}` as DeviceId;
        await desk.join({ ...knock, device, name: `${kind}given${at}x ${kind}family${at}x` });
      }
    await hub?.close();
    hub = undefined;
    for (const [at] of children.entries()) {
      const name = `Newgiven${at}x Newfamily${at}x`;
      const said = await run(folder, ["erase", name, "--data", "named"]);
      expect(said.out).toContain(`erased Newgiven${at}x Newfamily${at}x`);
      const bytes = readFileSync(join(folder, "named", "evenhand.sqlite"), "latin1");
      for (const part of [`given${at}x`, `family${at}x`])
        expect([part, bytes.includes(part)]).toEqual([part, false]);
    }
  });

  it("[L98] says in words where the notes beside the store cannot be used, and takes no line of them for more than it is", async () => {
    const notes = join(folder, "evenhand-data", "erased.jsonl");
    mkdirSync(notes);
    for (const command of [["erase", "Otto"], ["backup", "b.sqlite"], ["export"]]) {
      const said = await run(folder, command);
      expect([command[0], said.code]).toEqual([command[0], 2]);
      expect(said.err).toContain("erased.jsonl");
      expect(said.err).not.toMatch(/\n\s+at /);
    }
    rmSync(notes, { recursive: true });
    const grading = aGradingId;
    const odd = [{ about: {} }, { about: true }, { about: 7 }, { about: ["x"] }, { grading: {} }];
    const lines = odd.map((one) => JSON.stringify({ grading, about: "x", at: "y", ...one }));
    writeFileSync(notes, `${[...lines, "null", "7", "[]", '"x"'].join("\n")}\n`);
    expect((await run(folder, ["backup", "b.sqlite"])).code).toBe(0);
    await at("evenhand-data");
  });
});
