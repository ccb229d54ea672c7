import { describe, expect, it } from "vitest";
import { FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { aGradingId, anEntryId } from "../../builders/a-pen.ts";
import { openMemoryTabletStore, TabletDisk } from "../../world/memory-tablet-store.ts";
import { Life, Timeline } from "../../world/timeline.ts";

const about = "candidate-1" as PersonId;

/** A chief's tablet, and words about somebody. */
async function aTablet() {
  const disk = new TabletDisk();
  const time = new Timeline();
  const store = openMemoryTabletStore(disk);
  const clock = new Life(time, { skewMs: 0 });
  const pass = {
    grading: aGradingId,
    device: "chief-tablet" as DeviceId,
    person: "chief" as PersonId,
    roles: ["chief" as const],
    name: "C",
    cursor: 0,
    lastContactMs: 0,
  };
  const nowMs = () => clock.nowMs();
  const notebook = await Notebook.open({ store, pass, makeId: anEntryId, nowMs, clock });
  const words = makeSideRecord(
    { grading: aGradingId, about, kind: "text", body: { text: "fell" } },
    { random: (bytes) => new Uint8Array(bytes) },
  );
  const incident = () => notebook.write("incident", { text: words.ref }, { sides: [words.record] });
  return { disk, time, store, notebook, incident };
}
const full = async () => {
  throw new FaultError({ code: "STORE_FULL" });
};

describe("a tablet that hears of an erased person", () => {
  it("[H21] asks its disk again when it would not erase", async () => {
    const { disk, time, store, notebook, incident } = await aTablet();
    await incident();
    const { erase } = store;
    store.erase = full;
    await notebook.write("erased", { about });
    expect(notebook.sides.size).toBe(0);
    expect(disk.sides.size).toBe(1);
    store.erase = erase;
    await time.runUntil(time.nowMs + 6000);
    expect(disk.sides.size).toBe(0);
  });

  it("[H21] writes no word of them that was still on its way to the disk", async () => {
    const { disk, time, store, notebook, incident } = await aTablet();
    const { keep } = store;
    store.keep = full;
    await incident();
    await notebook.write("erased", { about });
    store.keep = keep;
    await time.runUntil(time.nowMs + 6000);
    expect([...disk.rows.values()].map(({ entry }) => entry.kind)).toEqual(["incident", "erased"]);
    expect(disk.sides.size).toBe(0);
  });
});
