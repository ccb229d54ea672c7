import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  CellHistory,
  heads,
  type Write,
  writeThatStands,
} from "../../../src/belt-test/scorebook/cell.ts";
import type { EntryId, PersonId } from "../../../src/book/identity.ts";

const aCell = () => new CellHistory("judge-1" as PersonId, {} as never, "judge-1/blocks");
const id = (n: number) => `entry-${n}` as EntryId;

/** Writes of up to three devices in any order, each replacing some of the others: earlier, later, itself, or none that there is. */
const someWrites = fc
  .array(
    fc.record({
      device: fc.constantFrom("a", "b", "c"),
      lamport: fc.integer({ min: 1, max: 6 }),
      level: fc.constantFrom(1, 2, 3, "cleared" as const, "not-seen" as const),
      replaces: fc.array(fc.integer({ min: 0, max: 12 }), { maxLength: 3 }),
    }),
    { maxLength: 12 },
  )
  .chain((writes) =>
    fc.shuffledSubarray(
      writes.map(
        (write, n): Write => ({
          ...write,
          n: n + 1,
          entry: id(n + 1),
          how: "tapped",
          replaces: write.replaces.map(id),
        }),
      ),
      { minLength: writes.length },
    ),
  );

describe("what was written in one cell", () => {
  it("[S27] says what stands after each write as if all had been read again", () => {
    fc.assert(
      fc.property(someWrites, (writes) => {
        const cell = aCell();
        const sofar: Write[] = [];
        expect(cell.stands).toEqual(writeThatStands([]));
        for (const write of writes) {
          cell.add(write);
          sofar.push(write);
          expect(cell.heads).toEqual(heads(sofar));
          expect(cell.stands).toEqual(writeThatStands(sofar));
        }
      }),
      { numRuns: 2000 },
    );
  });

  it("[S27] costs no more the hundred thousandth time than the first", () => {
    const cell = aCell();
    const timed: number[] = [];
    for (let share = 0; share < 100; share++) {
      const begun = performance.now();
      for (let n = share * 1000 + 1; n <= (share + 1) * 1000; n++) {
        const level = 1 + (n % 4);
        cell.add({ device: "a", lamport: n, n, entry: id(n), how: "tapped", level, replaces: [] });
        if (cell.stands?.level !== level) throw new Error(`write ${n} does not stand`);
      }
      timed.push(performance.now() - begun);
    }
    const median = (some: number[]) => some.toSorted((a, b) => a - b)[some.length >> 1] as number;
    // Read again each time a late share takes some forty times as long as an early one; the very first are not yet compiled.
    expect(median(timed.slice(-40)) / median(timed.slice(1, 5))).toBeLessThan(5);
  });
});
