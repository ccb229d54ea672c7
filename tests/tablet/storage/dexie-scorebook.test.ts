import { describe, expect, it } from "vitest";
import type { DeviceId } from "../../../src/core/identity.ts";
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
    expect(await again.counters(aGradingId, "judge-1-tablet" as DeviceId)).toEqual({
      n: 1,
      lamport: 1,
    });
  });
});
