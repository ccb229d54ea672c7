import { describe, expect, it } from "vitest";
import { FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { stopsNow } from "../../../src/line/floor.ts";
import type { FromHub, FromTablet } from "../../../src/line/protocol.ts";
import type { OpenHubLink } from "../../../src/ports/hub-link.ts";
import { clearFloor } from "../../../src/tablet/session/end-known.ts";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { joinHub } from "../../../src/tablet/session/uplink.ts";
import { aGradingId, anEntryId, aPen } from "../../builders/a-pen.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryTabletStore, TabletDisk } from "../../world/memory-tablet-store.ts";

/** A tablet on the line whose disk is full where told so. */
async function aTablet(isFull: boolean) {
  const store = openMemoryTabletStore(new TabletDisk());
  const pass = {
    grading: aGradingId,
    device: "tablet-1" as DeviceId,
    person: "caller" as PersonId,
    roles: ["caller" as const],
    token: "t".repeat(30),
    name: "C",
    cursor: 0,
    lastContactMs: 0,
  };
  await store.keepPass(pass);
  const keep = isFull
    ? async () => Promise.reject(new FaultError({ code: "STORE_FULL" }))
    : store.keep;
  const notebook = await Notebook.open({
    store: { ...store, keep },
    pass,
    makeId: anEntryId,
    nowMs: Date.now,
  });
  const said: FromTablet[] = [];
  let hub: Parameters<OpenHubLink>[0] | undefined;
  const { leave } = joinHub(notebook, (listener) => {
    hub = listener;
    return { send: (frame) => void said.push(frame), again: () => {}, close: () => {} };
  });
  const hears = async (frame: FromHub) => {
    hub?.onFrame(frame);
    await new Promise((resolve) => setTimeout(resolve, 10));
  };
  return { notebook, said, hears, leave };
}
const stop = (lamport: number) => {
  const pen = aPen("judge-1");
  pen.hear(lamport - 1);
  const { id: entry, by, at } = pen.write("stopped", { wave: 1 });
  return { frame: "floor" as const, floor: { stopped: true, entry, by, at, lamport } };
};

describe("a stop on a tablet", () => {
  it("[Y42] goes out at once, also where the tablet's own disk is full", async () => {
    const { notebook, said, leave } = await aTablet(true);
    await notebook.write("stopped", { wave: 1 });
    expect(notebook.fault?.code).toBe("STORE_FULL");
    expect(said).toEqual([{ frame: "floor", entry: expect.objectContaining({ kind: "stopped" }) }]);
    leave();
  });

  it("[Y42] that was only shouted stands until somebody clears the floor", async () => {
    const { notebook, hears, leave } = await aTablet(false);
    const now = () => stopsNow(notebook.book, notebook.news.floors);
    expect(now()).toEqual([]);
    await hears(stop(40));
    expect(now()).toMatchObject([{ stopped: true, by: "judge-1", isKept: false }]);
    await clearFloor(notebook, now());
    expect(now()).toEqual([]);
    const [clear] = [...notebook.book.entries()];
    expect(clear?.lamport).toBeGreaterThan(40);
    leave();
  });

  it("[Y211] that is shouted when the floor was cleared of others stands, and so does each of several", async () => {
    const { notebook, hears, leave } = await aTablet(false);
    const now = () => stopsNow(notebook.book, notebook.news.floors);
    const [first, second, late] = [stop(40), stop(50), stop(30)];
    await hears(first);
    await hears(second);
    expect(now()).toHaveLength(2);
    await clearFloor(notebook, now());
    expect(now()).toEqual([]);
    await hears(late);
    expect(now()).toMatchObject([{ entry: late.floor.entry }]);
    // Somebody else's word that the floor is clear, of that stop and then of no other.
    const clear = { ...stop(60).floor, stopped: false, by: "chief" as PersonId };
    await hears({ frame: "floor", floor: { ...clear, stops: [first.floor.entry] } });
    expect(now()).toHaveLength(1);
    const heardOf = { ...clear, entry: stop(61).floor.entry, stops: [late.floor.entry] };
    await hears({ frame: "floor", floor: heardOf });
    expect(now()).toEqual([]);
    leave();
  });

  it("[Y217] that was shouted stands where another line comes under its id, until the floor is cleared of it by name", async () => {
    const { notebook, hears, leave } = await aTablet(false);
    const now = () => stopsNow(notebook.book, notebook.news.floors);
    const heard = stop(40);
    await hears(heard);
    const pen = aPen("judge-1");
    pen.hear(39);
    const incident = pen.write("incident", {
      text: { id: anId("text-1"), digest: "0".repeat(64) },
    });
    await notebook.take([{ ...incident, id: heard.floor.entry }], []);
    expect(now()).toMatchObject([{ entry: heard.floor.entry, isKept: false }]);
    // And is not forgotten for the next shout.
    await hears(stop(50));
    expect(now()).toHaveLength(2);
    await clearFloor(notebook, now());
    expect(now()).toEqual([]);
    leave();
  });

  it("[Y211] of somebody else is forgotten for nobody's hundred shouts", async () => {
    const { notebook, hears, leave } = await aTablet(false);
    const theirs = stop(10);
    await hears({ frame: "floor", floor: { ...theirs.floor, by: "judge-2" as PersonId } });
    for (let at = 0; at < 100; at++) await hears(stop(20 + at));
    const now = stopsNow(notebook.book, notebook.news.floors);
    expect(now[0]?.entry).toBe(theirs.floor.entry);
    expect(now.length).toBeLessThan(30);
    // One key, however many: no line is too long to be taken.
    await clearFloor(
      notebook,
      [...Array(200)].map((_, at) => ({ entry: stop(300 + at).floor.entry })),
    );
    const lines = [...notebook.book.entries()];
    expect(lines).toHaveLength(3);
    for (const one of lines) expect(JSON.stringify(one).length).toBeLessThan(4_000);
    leave();
  });

  it("[Y43] forgets that it was turned away when a hub lets it in again", async () => {
    const { notebook, hears, leave } = await aTablet(false);
    await hears({ frame: "bye", fault: { code: "TOKEN_WRONG" } });
    expect(notebook.farewell?.code).toBe("TOKEN_WRONG");
    const person = "caller" as PersonId;
    await hears({
      frame: "welcome",
      protocol: 2,
      person,
      roles: ["caller"],
      feed: "f",
      resumed: false,
    });
    expect(notebook.farewell).toBeUndefined();
    leave();
  });
});
