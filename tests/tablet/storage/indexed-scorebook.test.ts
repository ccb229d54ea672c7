import { Dexie } from "dexie";
import { describe, expect, it, vi } from "vitest";
import type { DeviceId } from "../../../src/core/identity.ts";
import { openIndexedScorebook } from "../../../src/tablet/storage/indexed-scorebook.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { itKeepsTheScorebookContract } from "../../contracts/scorebook-store.contract.ts";
import { itKeepsTheTabletContract } from "../../contracts/tablet-store.contract.ts";

let opened = 0;
const open = () => openIndexedScorebook(`tablet-${opened++}`);

describe("the tablet's scorebook", () => {
  itKeepsTheScorebookContract(open);
  itKeepsTheTabletContract(open);

  it("[T1] is the same after the app is opened again", async () => {
    const name = `tablet-${opened++}`;
    const pen = aPen("judge-1");
    const first = openIndexedScorebook(name);
    const mark = aMark(pen);
    await first.keep(aGradingId, [mark]);
    await first.close();
    const again = openIndexedScorebook(name);
    expect((await again.outbox(aGradingId)).entries).toEqual([mark]);
    expect(await again.counters(aGradingId, "judge-1-tablet" as DeviceId)).toEqual({
      n: 1,
      lamport: 1,
    });
  });

  it("[T1] has what an earlier version of the app, which wrote by way of Dexie, has left", async () => {
    const name = `tablet-${opened++}`;
    const earlier = new Dexie(name);
    // Word for word the tables of that version.
    earlier.version(1).stores({
      rows: "++place, &id, grading, [grading+place], &[grading+device+n], [grading+lamport]",
      sides: "id, grading",
      outbox: "id, grading, [grading+n]",
      passes: "grading",
    });
    const pen = aPen("judge-1");
    const mark = aMark(pen);
    const { id, device, n, lamport } = mark;
    await earlier.table("rows").add({ id, grading: aGradingId, device, n, lamport, entry: mark });
    await earlier.table("outbox").add({ id, grading: aGradingId, n, sides: [] });
    earlier.close();
    const now = openIndexedScorebook(name);
    const next = aMark(pen);
    await now.keep(aGradingId, [next]);
    expect((await now.outbox(aGradingId)).entries).toEqual([mark, next]);
    // And back again: a hub that serves the earlier version once more finds its own tables.
    const tables = (store: IDBObjectStore) => [
      store.name,
      store.keyPath,
      store.autoIncrement,
      [...store.indexNames].map((index) => [
        index,
        store.index(index).keyPath,
        store.index(index).unique,
      ]),
    ];
    const fresh = `tablet-${opened++}`;
    const made = openIndexedScorebook(fresh);
    await made.passes();
    const shapes = await Promise.all(
      [name, fresh].map(async (one) => {
        const database = await new Promise<IDBDatabase>((resolve) => {
          const request = indexedDB.open(one);
          request.onsuccess = () => resolve(request.result);
        });
        const names = [...database.objectStoreNames];
        const shape = names.map((table) => tables(database.transaction(table).objectStore(table)));
        database.close();
        return { version: database.version, shape };
      }),
    );
    expect(shapes[1]).toEqual(shapes[0]);
  });

  it("[T1] keeps a mark over a connection that the platform has dropped, as tablets do that slept", async () => {
    const store = open();
    const pen = aPen("judge-1");
    await store.keep(aGradingId, [aMark(pen)]);
    const dropped = () => {
      throw new DOMException("The database connection is closing.", "InvalidStateError");
    };
    const { transaction } = IDBDatabase.prototype;
    const once = vi.spyOn(IDBDatabase.prototype, "transaction");
    once.mockImplementationOnce(dropped);
    await store.keep(aGradingId, [aMark(pen)]);
    once.mockImplementationOnce(dropped);
    expect(await store.read(aGradingId, 0)).toHaveLength(2);
    expect(once.mock.calls.length).toBe(4);
    once.mockRestore();
    expect(IDBDatabase.prototype.transaction).toBe(transaction);
  });

  it("[T2] says that there is no room, and has nothing of the batch", async () => {
    const store = open();
    const pen = aPen("judge-1");
    await store.keep(aGradingId, [aMark(pen)]);
    const { add } = IDBObjectStore.prototype;
    // After the line was written, and before its place in the outbox.
    const full = vi.spyOn(IDBObjectStore.prototype, "add");
    full.mockImplementation(function (this: IDBObjectStore, value) {
      if (this.name === "outbox") throw new DOMException("full", "QuotaExceededError");
      return add.call(this, value);
    });
    await expect(store.keep(aGradingId, [aMark(pen)])).rejects.toMatchObject({
      fault: { code: "STORE_FULL" },
    });
    full.mockRestore();
    expect(await store.read(aGradingId, 0)).toHaveLength(1);
  });
});
