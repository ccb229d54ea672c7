import { beforeAll, describe, expect, it } from "vitest";
import { isKnown } from "../../src/belt-test/scorebook/entry.ts";
import { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import { itKeepsTheScorebookContract } from "../contracts/scorebook-store.contract.ts";
import { itKeepsTheTabletContract } from "../contracts/tablet-store.contract.ts";
import { playDay } from "./day.ts";
import { openMemoryTabletStore, TabletDisk } from "./memory-tablet-store.ts";
import { planted } from "./planted.ts";

/** As many as fit into half a minute of one core; ten thousand in `npm run soak -- days`. */
const DAYS = 45;
const PATIENCE_MS = 180_000;

describe("the simulated tablet's store", () => {
  const open = () => openMemoryTabletStore(new TabletDisk());
  itKeepsTheScorebookContract(open);
  itKeepsTheTabletContract(open);
});

describe(`${DAYS} simulated days`, () => {
  const broken: string[] = [];
  const troubles = new Set<string>();
  const seen = {
    closings: 0,
    refused: 0,
    corrections: 0,
    late: 0,
    conflicts: 0,
    erased: 0,
    replaced: 0,
  };
  const marks = { afterVerdict: 0, afterClosing: 0 };

  beforeAll(async () => {
    for (let seed = 1; seed <= DAYS; seed++) {
      const day = await playDay(seed, { look: ({ witness }) => look(witness.committed.values()) });
      for (const what of day.broken) broken.push(`seed ${seed}: ${what}`);
      for (const trouble of day.troubles.keys()) troubles.add(trouble);
      seen.refused += day.refused;
    }
  }, PATIENCE_MS);

  function look(entries: Iterable<AnyEntry>): void {
    const book = new Scorebook();
    for (const entry of entries) {
      if (isKnown(entry) && entry.kind === "mark") {
        const { cells } = entry.body;
        if (cells.some(({ candidate }) => book.decisions.verdict(candidate))) marks.afterVerdict++;
        if (book.plan.isClosed) marks.afterClosing++;
      }
      if (entry.kind === "correction") seen.corrections++;
      if (entry.kind === "rubric-replaced") seen.replaced++;
      book.add(entry);
    }
    if (book.plan.isClosed) seen.closings++;
    seen.erased += book.erased.size;
    for (const { candidate } of book.plan.entrants) {
      seen.late += book.marks.late(candidate).length;
      seen.conflicts += book.marks.conflicts(candidate).length;
    }
  }

  // A seed that is named here is played again, exactly, by `npm run soak -- days --seed N --days 1`.
  it("keep every promise over cut lines, killed hubs, full disks, wrong clocks and old backups", () => {
    expect(broken).toEqual([]);
  });

  it("have in them what a hall has, and every trouble there is", () => {
    expect([...troubles].sort()).toHaveLength(19);
    expect(seen.closings).toBeGreaterThan(DAYS * 0.8);
    for (const [what, times] of Object.entries({ ...seen, ...marks }))
      expect([what, times > 0]).toEqual([what, true]);
  });
});

describe("a simulated day", () => {
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
