import { beforeEach, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import type { TabletStore } from "../../src/ports/tablet-store.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aMark } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";

/** What every TabletStore promises beside what a scorebook store does. `open` gives an empty one. */
export function itKeepsTheTabletContract(open: () => TabletStore): void {
  let store: TabletStore;
  beforeEach(() => {
    store = open();
  });
  const unsent = async () => (await store.outbox(aGradingId)).entries;

  it("[T1] has own entries in the outbox until the hub says that it has them", async () => {
    const pen = aPen("judge-1");
    const marks = [aMark(pen), aMark(pen, { level: 4 }), aMark(pen, { level: 1 })];
    await store.keep(aGradingId, marks);
    expect(await unsent()).toEqual(marks);
    await store.sent(aGradingId, [marks[0]?.id as never]);
    expect(await unsent()).toEqual(marks.slice(1));
    expect((await store.read(aGradingId, 0)).map(({ entry }) => entry)).toEqual(marks);
  });

  it("[T1] has them there again, with their words, when the hub has lost them", async () => {
    const pen = aPen("judge-1");
    const about = "candidate-1" as CandidateId;
    const { ref, record } = makeSideRecord(
      { grading: aGradingId, about, kind: "text", body: { text: "leans" } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const incident = pen.write("incident", { candidate: about, text: ref });
    const mark = aMark(pen);
    await store.keep(aGradingId, [incident], [record]);
    await store.keep(aGradingId, [mark]);
    await store.sent(aGradingId, [incident.id, mark.id]);
    await store.owe(aGradingId, [incident]);
    await store.owe(aGradingId, [incident]);
    expect(await store.outbox(aGradingId)).toMatchObject({ entries: [incident], sides: [record] });
  });

  it("[T118] has what the hub says now at a place of somebody's count, and not what a lost one said there; its own unsent line stays", async () => {
    const [theirs, anew] = [
      aMark(aPen("judge-2"), { level: 1 }),
      aMark(aPen("judge-2"), { level: 4 }),
    ];
    const own = aMark(aPen("judge-1"));
    const place = { feed: "feed", cursor: 1 };
    await store.keepPass({
      ...{ grading: aGradingId, device: anId(own.device), roles: [], name: "", cursor: 0 },
      lastContactMs: 0,
    });
    await store.hear(aGradingId, [theirs], [], place);
    await store.keep(aGradingId, [own]);
    const twin = aMark(aPen("judge-1"));
    await store.hear(aGradingId, [anew, twin], [], { ...place, cursor: 3 });
    const ids = (await store.read(aGradingId, 0)).map(({ entry }) => entry.id);
    expect(ids.sort()).toEqual([own.id, anew.id].sort());
    await store.hear(aGradingId, [anew], [], { ...place, cursor: 3 });
    expect(await store.read(aGradingId, 0)).toHaveLength(2);
  });

  it("[T117] gives back with what the hub lost what it gave for it, as long as the entries are here", async () => {
    const pen = aPen("judge-1");
    const [one, other] = [aMark(pen), aMark(pen)];
    await store.keep(aGradingId, [one, other]);
    expect((await store.outbox(aGradingId)).receipts).toEqual(new Map());
    await store.sent(aGradingId, [one.id, other.id], ["first", "second"]);
    await store.owe(aGradingId, [other]);
    expect((await store.outbox(aGradingId)).receipts).toEqual(new Map([[other.id, "second"]]));
    // A hub of before gives none, and takes none away.
    await store.sent(aGradingId, [other.id]);
    await store.owe(aGradingId, [one, other]);
    const both = new Map([one, other].map(({ id }, at) => [id, at === 0 ? "first" : "second"]));
    expect((await store.outbox(aGradingId)).receipts).toEqual(both);
    await store.forget(aGradingId);
    await store.keep(aGradingId, [one, other]);
    expect((await store.outbox(aGradingId)).receipts).toEqual(new Map());
  });

  it("[T112] knows why the hub did not take an entry as long as it waits, and the last reason only", async () => {
    const pen = aPen("judge-1");
    const [one, other] = [aMark(pen), aMark(pen)];
    await store.keep(aGradingId, [one]);
    await store.refused({ id: one.id, fault: { code: "NOT_ASSIGNED" } });
    const last = { id: one.id, fault: { code: "SECTION_OPEN" }, isGivenUp: true } as const;
    await store.refused(last);
    await store.refused({ id: other.id, fault: { code: "NOT_ASSIGNED" } });
    expect((await store.outbox(aGradingId)).refusals).toEqual([last]);
    expect((await store.outbox(anId("other"))).refusals).toEqual([]);
    await store.sent(aGradingId, [one.id]);
    expect((await store.outbox(aGradingId)).refusals).toEqual([]);
    await store.owe(aGradingId, [one]);
    expect((await store.outbox(aGradingId)).refusals).toEqual([]);
  });

  it("[T2] keeps a batch whole or not at all when another tab took its number", async () => {
    const [one, other] = [aPen("judge-1"), aPen("judge-1")];
    await store.keep(aGradingId, [aMark(one)]);
    await expect(store.keep(aGradingId, [aMark(other), aMark(other)])).rejects.toMatchObject({
      fault: { code: "N_REUSED" },
    });
    expect(await store.read(aGradingId, 0)).toHaveLength(1);
    expect(await unsent()).toHaveLength(1);
  });

  it("[T3] moves the cursor only together with the entries before it", async () => {
    await store.keepPass({
      grading: aGradingId,
      device: "d" as DeviceId,
      person: "p" as PersonId,
      roles: ["judge"],
      name: "P",
      cursor: 0,
      lastContactMs: 0,
    });
    const mark = aMark(aPen("judge-2"));
    await store.hear(aGradingId, [mark], [], { feed: "f", cursor: 7, link: "l" });
    expect(await store.pass(aGradingId)).toMatchObject({ feed: "f", cursor: 7, link: "l" });
    expect(await unsent()).toEqual([]);
    // A hub of an earlier version has no link to give, and an old one would say something else.
    await store.hear(aGradingId, [], [], { feed: "f", cursor: 8, link: undefined });
    expect((await store.pass(aGradingId))?.link).toBeUndefined();
    await store.hear(aGradingId, [], [], { feed: "f", cursor: 9, link: "m" });
    await store.dropSides(aGradingId, ["text"], 1);
    expect(await store.pass(aGradingId)).toMatchObject({ cursor: 0 });
    expect((await store.pass(aGradingId))?.link).toBeUndefined();
  });

  it("[T110] keeps what cannot be read as it came, with the cursor, and beside everything else of the pass", async () => {
    await store.keepPass({
      grading: aGradingId,
      device: "d" as DeviceId,
      person: "p" as PersonId,
      roles: ["judge"],
      name: "P",
      cursor: 0,
      lastContactMs: 0,
    });
    const line = { kind: "mark", body: { ofAnotherYear: [1, null, "x"] } };
    await store.hear(aGradingId, [], [], { feed: "f", cursor: 3, unread: [line] });
    expect(await store.pass(aGradingId)).toMatchObject({ cursor: 3, name: "P", unread: [line] });
    await store.hear(aGradingId, [aMark(aPen("judge-2"))], [], { feed: "f", cursor: 4 });
    expect(await store.pass(aGradingId)).toMatchObject({ cursor: 4, unread: [line] });
    await store.dropSides(aGradingId, ["text"], 1);
    expect((await store.pass(aGradingId))?.unread).toEqual([line]);
  });

  it("[T4] forgets one grading and leaves the others", async () => {
    await store.keep(aGradingId, [aMark(aPen("judge-1"))]);
    await store.keep(anId("other"), [aMark(aPen("judge-1", "d", anId("other")))]);
    await store.forget(aGradingId);
    expect(await store.gradings()).toEqual([{ grading: "other", entries: 1 }]);
  });
}
