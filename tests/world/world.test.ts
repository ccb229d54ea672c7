import { describe, expect, it } from "vitest";
import { itKeepsTheScorebookContract } from "../contracts/scorebook-store.contract.ts";
import { playDay } from "./day.ts";
import { openMemoryTabletStore, TabletDisk } from "./memory-tablet-store.ts";

describe("the simulated tablet's store", () => {
  itKeepsTheScorebookContract(() => openMemoryTabletStore(new TabletDisk()));
});

describe("a simulated day", () => {
  it("keeps every promise while nothing goes wrong", async () => {
    for (let seed = 1; seed <= 20; seed++) {
      const { broken, entries } = await playDay(seed, { isCalm: true });
      expect({ seed, broken }).toEqual({ seed, broken: [] });
      expect(entries).toBeGreaterThan(50);
    }
  });

  it("is the same day for the same seed, to the last byte", async () => {
    const [first, again, other] = [await playDay(9), await playDay(9), await playDay(14)];
    expect(again.trace).toBe(first.trace);
    expect(other.trace).not.toBe(first.trace);
  });
});
