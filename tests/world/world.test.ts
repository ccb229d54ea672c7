import { describe, expect, it } from "vitest";
import { isKnown } from "../../src/core/scorebook/entry.ts";
import { Scorebook } from "../../src/core/scorebook/scorebook.ts";
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
      expect(Object.keys(played.troubles)).toHaveLength(19);
      expect(played.refused).toBeGreaterThan(DAYS);
    },
    PATIENCE_MS,
  );

  it(
    "has in it what a hall has: marks after a verdict and after the closing, late ones, and two tablets that disagree",
    async () => {
      const seen = { afterVerdict: 0, afterClosing: 0, late: 0, conflicts: 0, corrections: 0 };
      for (let seed = 1; seed <= 150; seed++) {
        await playDay(seed, {
          look({ witness }) {
            const book = new Scorebook();
            for (const entry of witness.committed.values()) {
              if (isKnown(entry) && entry.kind === "mark") {
                const { cells } = entry.body;
                if (cells.some(({ candidate }) => book.verdict(candidate))) seen.afterVerdict++;
                if (book.isClosed) seen.afterClosing++;
              }
              if (entry.kind === "correction") seen.corrections++;
              book.add(entry);
            }
            for (const { candidate } of book.entrants) {
              seen.late += book.lateMarks(candidate).length;
              seen.conflicts += book.conflicts(candidate).length;
            }
          },
        });
      }
      for (const [what, times] of Object.entries(seen))
        expect([what, times > 0]).toEqual([what, true]);
    },
    PATIENCE_MS,
  );

  it("keeps every promise while nothing goes wrong", async () => {
    for (let seed = 1; seed <= 10; seed++) {
      const { broken, troubles, entries } = await playDay(seed, { isCalm: true });
      expect({ seed, broken, troubles: troubles.size }).toEqual({ seed, broken: [], troubles: 0 });
      expect(entries).toBeGreaterThan(60);
    }
  });

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
