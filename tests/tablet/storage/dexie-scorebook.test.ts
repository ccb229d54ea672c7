import { describe, expect, it } from "vitest";
import type { DeviceId, PersonId } from "../../../src/core/identity.ts";
import { openDexieScorebook } from "../../../src/tablet/storage/dexie-scorebook.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { itKeepsTheScorebookContract } from "../../contracts/scorebook-store.contract.ts";

let opened = 0;
const open = () => openDexieScorebook(`tablet-${opened++}`);

describe("the tablet's scorebook", () => {
  itKeepsTheScorebookContract(open);

  it("[T1] has own entries in the outbox until the hub says that it has them", async () => {
    const store = open();
    const pen = aPen("judge-1");
    const marks = [aMark(pen), aMark(pen, { level: 4 }), aMark(pen, { level: 1 })];
    await store.keep(aGradingId, marks);
    expect((await store.outbox(aGradingId)).entries).toEqual(marks);
    await store.sent(aGradingId, [marks[0]?.id as never]);
    expect((await store.outbox(aGradingId)).entries).toEqual(marks.slice(1));
    expect((await store.read(aGradingId, 0)).map(({ entry }) => entry)).toEqual(marks);
  });

  it("[T1] is the same after the app is opened again", async () => {
    const name = `tablet-${opened++}`;
    const pen = aPen("judge-1");
    const first = openDexieScorebook(name);
    const mark = aMark(pen);
    await first.keep(aGradingId, [mark]);
    await first.close();
    const again = openDexieScorebook(name);
    expect((await again.outbox(aGradingId)).entries).toEqual([mark]);
    expect(await again.counters(aGradingId, "judge-1-tablet" as DeviceId)).toEqual({
      n: 1,
      lamport: 1,
    });
  });

  it("[T2] keeps a batch whole or not at all when another tab took its number", async () => {
    const store = open();
    const [one, other] = [aPen("judge-1"), aPen("judge-1")];
    await store.keep(aGradingId, [aMark(one)]);
    await expect(store.keep(aGradingId, [aMark(other), aMark(other)])).rejects.toMatchObject({
      fault: { code: "N_REUSED" },
    });
    expect(await store.read(aGradingId, 0)).toHaveLength(1);
    expect((await store.outbox(aGradingId)).entries).toHaveLength(1);
  });

  it("[T3] moves the cursor only together with the entries before it", async () => {
    const store = open();
    await store.keepPass({
      grading: aGradingId,
      device: "d" as DeviceId,
      person: "p" as PersonId,
      roles: ["judge"],
      name: "P",
      cursor: 0,
      lastContactMs: 0,
    });
    await store.hear(aGradingId, [aMark(aPen("judge-2"))], [], { feed: "f", cursor: 7 });
    expect(await store.pass(aGradingId)).toMatchObject({ feed: "f", cursor: 7 });
    expect((await store.outbox(aGradingId)).entries).toEqual([]);
  });

  it("[T4] forgets one grading and leaves the others", async () => {
    const store = open();
    await store.keep(aGradingId, [aMark(aPen("judge-1"))]);
    await store.keep("other" as never, [aMark(aPen("judge-1", "d", "other" as never))]);
    await store.forget(aGradingId);
    expect(await store.gradings()).toEqual([{ grading: "other", entries: 1 }]);
  });
});
