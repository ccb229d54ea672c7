import { describe, expect, it, vi } from "vitest";
import { openDexieScorebook } from "../../../src/tablet/storage/dexie-scorebook.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { itKeepsTheScorebookContract } from "../../contracts/scorebook-store.contract.ts";
import { itKeepsTheTabletContract } from "../../contracts/tablet-store.contract.ts";

let opened = 0;
const open = () => openDexieScorebook(`tablet-${opened++}`);

describe("the tablet's scorebook", () => {
  itKeepsTheScorebookContract(open);
  itKeepsTheTabletContract(open);

  it("[T1] is the same after the app is opened again", async () => {
    const name = `tablet-${opened++}`;
    const pen = aPen("judge-1");
    const first = openDexieScorebook(name);
    const mark = aMark(pen);
    await first.keep(aGradingId, [mark]);
    await first.close();
    const again = openDexieScorebook(name);
    expect((await again.outbox(aGradingId)).entries).toEqual([mark]);
  });

  it("[T1] keeps a mark over a connection that the platform has dropped, as tablets do that slept", async () => {
    const store = open();
    const pen = aPen("judge-1");
    await store.keep(aGradingId, [aMark(pen)]);
    const once = vi.spyOn(IDBDatabase.prototype, "transaction");
    once.mockImplementationOnce(() => {
      throw new DOMException("The database connection is closing.", "InvalidStateError");
    });
    await store.keep(aGradingId, [aMark(pen)]);
    once.mockRestore();
    expect(await store.read(aGradingId, 0)).toHaveLength(2);
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
    expect((await store.outbox(aGradingId)).entries).toHaveLength(1);
  });
});
