import { describe, expect, it, vi } from "vitest";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import type { FromTablet } from "../../../src/line/protocol.ts";
import type { OpenHubLink } from "../../../src/ports/hub-link.ts";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { expireRosters, ROSTER_KEPT_MS } from "../../../src/tablet/session/roster-expiry.ts";
import { joinHub } from "../../../src/tablet/session/uplink.ts";
import { openDexieScorebook } from "../../../src/tablet/storage/dexie-scorebook.ts";
import { aGradingId, anEntryId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const LAST = Date.UTC(2026, 5, 6, 12);
const chance = { makeId: anEntryId, random: (bytes: number) => new Uint8Array(bytes) };
const aSide = (about: string, kind: SideRecord["kind"], body: Record<string, unknown>) =>
  makeSideRecord({ grading: aGradingId, about: about as PersonId, kind, body }, chance);
let opened = 0;

/** A tablet that has the names of a test day, last heard from its hub at noon on 6 June. */
async function aTablet(roles: Role[] = ["judge"]) {
  const store = openDexieScorebook(`roster-${opened++}`);
  const pass = {
    grading: aGradingId,
    device: "judge-1-tablet" as DeviceId,
    person: "judge-1" as PersonId,
    roles,
    token: "t".repeat(30),
    name: "J",
    cursor: 40,
    feed: "f",
    lastContactMs: LAST,
  };
  await store.keepPass(pass);
  const { plan } = aTestDay();
  const mia = aSide("candidate-1", "candidate", { given: "Mia" });
  const tom = aSide("judge-2", "person", { name: "Tobias" });
  await store.append(aGradingId, plan, [mia.record, tom.record]);
  const notebook = await Notebook.open({ store, pass, makeId: anEntryId, nowMs: () => LAST });
  const note = aSide("candidate-1", "text", { text: "Looks at the floor" });
  const unsent = await notebook.write(
    "note",
    {
      candidate: anId("candidate-1"),
      section: anId("blocks"),
      item: null,
      side: null,
      text: note.ref,
    },
    { sides: [note.record] },
  );
  const names = async () =>
    (await store.sides(aGradingId)).map(({ body }) => Object.values(body)[0]).sort();
  return { store, notebook, plan, mia, unsent, names };
}

describe("names on a tablet", () => {
  it("[T5] are gone seven days after the last contact, with every mark and unsent line still there", async () => {
    const { store, notebook, plan, unsent, names } = await aTablet();
    const open = new Map([[aGradingId, notebook]]);
    expect(await expireRosters(store, LAST + ROSTER_KEPT_MS, open)).toEqual([]);
    expect(await names()).toEqual(["Looks at the floor", "Mia", "Tobias"]);
    expect(await expireRosters(store, LAST + ROSTER_KEPT_MS + 1, open)).toEqual([aGradingId]);
    // What no hub has keeps its words; the panel's own names stay.
    expect(await names()).toEqual(["Looks at the floor", "Tobias"]);
    expect([...notebook.sides.values()].map(({ kind }) => kind).sort()).toEqual(["person", "text"]);
    expect(notebook.pass.rosterDroppedAtMs).toBe(LAST + ROSTER_KEPT_MS + 1);
    expect(await store.read(aGradingId, 0)).toHaveLength(plan.length + 1);
    expect((await store.outbox(aGradingId)).entries).toEqual([unsent]);
    expect(await expireRosters(store, LAST + 2 * ROSTER_KEPT_MS, open)).toEqual([]);
  });

  it("[T5] stay on the chief's device, and on one that hears the hub", async () => {
    const chief = await aTablet(["chief", "judge"]);
    expect(await expireRosters(chief.store, LAST + 2 * ROSTER_KEPT_MS)).toEqual([]);
    const judge = await aTablet();
    judge.notebook.linkIs("live");
    const later = LAST + 2 * ROSTER_KEPT_MS;
    const open = new Map([[aGradingId, judge.notebook]]);
    expect(await expireRosters(judge.store, later, open)).toEqual([]);
    expect((await judge.store.pass(aGradingId))?.lastContactMs).toBe(later);
    expect(await judge.names()).toContain("Mia");
  });

  it("[T5] come back with the next contact, which is asked for the whole feed", async () => {
    const { store, notebook, plan, mia, names } = await aTablet();
    await expireRosters(store, LAST + 2 * ROSTER_KEPT_MS, new Map([[aGradingId, notebook]]));
    const said: FromTablet[] = [];
    let hub: Parameters<OpenHubLink>[0] | undefined;
    joinHub(notebook, (listener) => {
      hub = listener;
      return { send: (frame) => void said.push(frame), again: () => {}, close: () => {} };
    });
    hub?.onState("live");
    await vi.waitFor(() => expect(said).toHaveLength(1));
    expect(said[0]).toMatchObject({ frame: "hello", cursor: 0 });
    expect(said[0]).not.toHaveProperty("feed");
    hub?.onFrame({
      frame: "welcome",
      protocol: 2,
      person: "judge-1" as PersonId,
      roles: ["judge"],
      feed: "f",
      resumed: false,
    });
    const cursor = plan.length;
    hub?.onFrame({ frame: "entries", entries: plan, sides: [mia.record], cursor });
    await vi.waitFor(async () => expect(await names()).toContain("Mia"));
    expect(notebook.pass.rosterDroppedAtMs).toBeUndefined();
    expect(await store.read(aGradingId, 0)).toHaveLength(plan.length + 1);
  });
});
