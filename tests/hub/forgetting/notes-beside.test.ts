import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { DeviceId, GradingId, PersonId } from "../../../src/book/identity.ts";
import { FrontDesk } from "../../../src/hub/door/front-desk.ts";
import { forgetAgain, openTakenAway } from "../../../src/hub/forgetting/forget-again.ts";
import { forgetAtDoor } from "../../../src/hub/forgetting/forget-at-door.ts";
import { notedDoor } from "../../../src/hub/forgetting/noted-door.ts";
import { openForCommand } from "../../../src/hub/store/open-store.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { nobodyElse } from "../../../src/ports/store-news.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-notes-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** A hub with one test, at whose door somebody may knock. */
async function aDoor() {
  const opened = await openForCommand({ dataFolder: folder }, testBooks, { makes: true });
  if (!opened) throw new Error("there is no store");
  const notes = openTakenAway(folder);
  const desk = await FrontDesk.open(opened.door, Date.now, nobodyElse, notedDoor(notes, Date.now));
  const chief = await desk.makeChief("chief-tablet" as DeviceId);
  await desk.makeGrading(chief.token, aGradingId, "chief-tablet" as DeviceId);
  const code = await desk.code(aGradingId);
  const knocks = (device: string, name: string) =>
    desk.join({ code, device: device as DeviceId, name, wants: "judge", address: "127.0.0.1" });
  return { ...opened, notes, desk, knocks };
}

describe("what is noted beside the store", () => {
  it("[H162] forgets nobody whose id a device bears that somebody knocked with", async () => {
    const { store, door, notes, knocks, close } = await aDoor();
    const mia = "candidate-1" as CandidateId;
    const { record } = makeSideRecord(
      { grading: aGradingId, about: mia, kind: "candidate", body: { givenName: "Mia" } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    await store.append(aGradingId, aTestDay().plan, [record]);
    await knocks(mia, "Otto");
    // Otto is erased, and the device that knocked under the name with it.
    await forgetAtDoor(
      door,
      aGradingId,
      "judge-7",
      ["Otto"],
      notes.erased.noteDevices(aGradingId, 0),
    );
    await forgetAgain({ store, door }, openTakenAway(folder));
    expect((await store.sides(aGradingId)).map(({ id }) => id)).toEqual([record.id]);
    expect(openTakenAway(folder).erased.of(aGradingId)).toEqual([]);
    expect((await door.devices(aGradingId)).filter(({ name }) => name === "Otto")).toEqual([]);
    await close();
  });

  it("[H186] is written into a book that does not say so, for tablets to hear of: once, and into no book that is not there", async () => {
    const { store, door, notes, close } = await aDoor();
    const mia = "candidate-1" as CandidateId;
    const { record } = makeSideRecord(
      { grading: aGradingId, about: mia, kind: "candidate", body: { givenName: "Mia" } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    await store.append(aGradingId, aTestDay().plan, [record]);
    // As an older copy lies beside them, or where a command was killed after its note.
    notes.erased.note(aGradingId, mia, 0);
    notes.erased.note("g-elsewhere" as GradingId, mia, 0);
    for (let start = 0; start < 2; start++) {
      await forgetAgain({ store, door }, openTakenAway(folder));
      const lines = (await store.read(aGradingId, 0)).map(({ entry }) => entry);
      expect(lines.filter(({ kind }) => kind === "erased")).toMatchObject([
        { by: "chief", device: expect.stringMatching(/^hub-/), body: { about: mia } },
      ]);
    }
    expect(await store.sides(aGradingId)).toEqual([]);
    expect(await store.gradings()).toHaveLength(1);
    await close();
  });

  it("[H163] gives no role back in a store that knows better, where the last note is damaged or gone", async () => {
    const { store, door, desk, knocks, close } = await aDoor();
    await knocks("spare-tablet", "Ida");
    const person = "person-ida" as PersonId;
    for (const role of ["chief", "judge"] as const)
      await desk.admit(aGradingId, "spare-tablet" as DeviceId, { person, roles: [role] });
    const rolesNow = async () => {
      await forgetAgain({ store, door }, openTakenAway(folder));
      return (await door.device(aGradingId, "spare-tablet" as DeviceId))?.roles;
    };
    const file = join(folder, "stands.jsonl");
    const whole = readFileSync(file, "utf8");
    const lines = whole.trimEnd().split("\n");
    expect(lines.at(-1)).toContain("judge");
    for (const spoilt of [
      whole.replace(/judge(?=[^\n]*\n$)/, "jvdge"),
      `${lines.slice(0, -1).join("\n")}\n`,
    ]) {
      writeFileSync(file, spoilt);
      expect(await rolesNow()).toEqual(["judge"]);
    }
    // An older copy: the role goes again, also where the first try is cut short.
    writeFileSync(file, whole);
    const row = await door.device(aGradingId, "spare-tablet" as DeviceId);
    const stood = `stood/${row?.tokenHash}/${aGradingId}`;
    await door.takeSetting(stood, (await door.setting(stood)) ?? "");
    await door.decide(aGradingId, "spare-tablet" as DeviceId, {
      state: "admitted",
      person,
      roles: ["chief"],
    });
    const full = new Error("no room");
    const cut = { ...door, decide: () => Promise.reject(full) };
    await expect(forgetAgain({ store, door: cut }, openTakenAway(folder))).rejects.toBe(full);
    expect(await rolesNow()).toEqual(["judge"]);
    await close();
  });
});
