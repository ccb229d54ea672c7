import { describe, expect, it } from "vitest";
import { itKeepsTheScorebookContract } from "../contracts/scorebook-store.contract.ts";
import { playDay } from "./day.ts";
import { openMemoryTabletStore, TabletDisk } from "./memory-tablet-store.ts";
import { planted } from "./planted.ts";
import { playDays } from "./play-days.ts";

/** As many as fit into half a minute of one core; ten thousand in `npm run soak -- days`. */
const DAYS = 500;
const PATIENCE_MS = 180_000;

describe("the simulated tablet's store", () => {
  itKeepsTheScorebookContract(() => openMemoryTabletStore(new TabletDisk()));
});

describe("a simulated day", () => {
  it(
    `keeps every promise on ${DAYS} days of cut lines, killed hubs, full disks and wrong clocks`,
    async () => {
      const said: string[] = [];
      const played = await playDays({ days: DAYS, first: 1 }, undefined, (line) => said.push(line));
      expect(said.join("\n")).toBe("");
      // Days that came to their end, and troubles of every kind.
      expect(played.closed).toBeGreaterThan(DAYS * 0.9);
      expect(Object.keys(played.troubles)).toHaveLength(15);
      expect(played.refused).toBeGreaterThan(DAYS);
    },
    PATIENCE_MS,
  );

  it("is the same day for the same seed, to the last byte", async () => {
    for (const seed of [9, 14, 463]) {
      const [first, again] = [await playDay(seed), await playDay(seed)];
      expect({ ...again, troubles: [...again.troubles] }).toEqual({
        ...first,
        troubles: [...first.troubles],
      });
    }
    expect((await playDay(9)).trace).not.toBe((await playDay(14)).trace);
  });

  it.each(Object.entries(planted))(
    "finds a hub or tablet that %s within 30 days",
    async (_, plant) => {
      let day = 0;
      let broken: string[] = [];
      while (broken.length === 0 && day < 30) ({ broken } = await playDay(++day, { plant }));
      expect(broken).not.toEqual([]);
    },
  );
});
