import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readEntry } from "../../src/belt-test/scorebook/entry.ts";
import { sizeFault } from "../../src/belt-test/scorebook/entry-sizes.ts";
import { basisOfPerson, isOutOfTurn } from "../../src/belt-test/scorebook/out-of-turn.ts";
import { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { DeviceCounts } from "../../src/book/device-counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { aGradingId, anEntryId, aPen } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";

/** In the device's own count, as a stop is. */
const at = (n: number, lamport: number): AnyEntry => ({
  ...aMark(aPen("judge-1")),
  device: "judge-1-tablet" as DeviceId,
  n,
  lamport,
});

describe("a device's count", () => {
  it("[S246] ends where a number ends, and no pen goes on from there", () => {
    const last = Number.MAX_SAFE_INTEGER;
    const counts = new DeviceCounts(isOutOfTurn);
    for (const n of [last + 1, last, last - 1]) counts.take(at(n, 1), true);
    expect(counts.last("judge-1-tablet" as DeviceId)).toBe(last + 1);
    const device = "judge-1-tablet" as DeviceId;
    const pen = new Pen({
      ...{ grading: aGradingId, person: "judge-1" as PersonId, device, makeId: anEntryId },
      ...{ nowMs: () => 0, last: new Map([[device, last]]) },
    });
    expect(() => pen.write("stopped", { wave: 1 })).toThrow(RangeError);
  });

  it("[S37] takes each place once, in order, and never with an earlier logical time than the one before it", () => {
    const tries = fc.array(
      fc.record({ n: fc.integer({ min: 1, max: 9 }), lamport: fc.integer({ min: 1, max: 9 }) }),
      { maxLength: 40 },
    );
    fc.assert(
      fc.property(tries, (all) => {
        const counts = new DeviceCounts(isOutOfTurn);
        const taken: { n: number; lamport: number }[] = [];
        for (const { n, lamport } of all) {
          const entry = at(n, lamport);
          if (counts.fault(entry, false)) continue;
          counts.take(entry);
          taken.push({ n, lamport });
        }
        expect(taken.map(({ n }) => n)).toEqual(taken.map((_, index) => index + 1));
        for (const [index, { lamport }] of taken.entries())
          expect(lamport).toBeGreaterThanOrEqual(taken[index - 1]?.lamport ?? 0);
      }),
    );
  });

  it("[S37] holds what was refused and is offered again to the times of its neighbours", () => {
    const counts = new DeviceCounts(isOutOfTurn);
    counts.take(at(1, 3));
    counts.hear(anId("judge-1-tablet"), 2);
    counts.take(at(3, 7));
    expect(counts.fault(at(2, 2), false)?.code).toBe("CLOCK_BACK");
    expect(counts.fault(at(2, 8), false)?.code).toBe("CLOCK_BACK");
    expect(counts.fault(at(2, 5), false)).toBeNull();
    expect(counts.fault(at(5, 9), false)?.code).toBe("N_GAP");
    // A stop waits for nothing before it, and keeps nobody out.
    expect(counts.fault(at(9, 1), true)).toBeNull();
    expect(counts.fault(at(3, 7), true)?.code).toBe("N_REUSED");
  });
});

describe("a stop that leaves places of its device's count out", () => {
  const pen = aPen("judge-1");
  const far = { ...pen.write("stopped", { wave: null }), n: 2 ** 53 - 1 } as AnyEntry;

  it("[S141] is taken, lets nobody fill those out of order, and says of none in between that it was seen", () => {
    const counts = new DeviceCounts(isOutOfTurn);
    counts.take(at(1, 1), true);
    expect(counts.fault(far, true)).toBeNull();
    counts.take(far, true);
    expect(counts.fault(at(900, 1), false)?.code).toBe("N_GAP");
    expect(counts.fault(at(2, 1), false)).toBeNull();
    const book = fold([at(1, 1), far]);
    expect(book.basis).toEqual({ "judge-1-tablet": 1 });
    expect(basisOfPerson(book.entries(), "judge-1" as PersonId)).toEqual({ "judge-1-tablet": 1 });
  });

  it("[S141] is waited for by nobody: what was written before and after it is taken, also from the disk", () => {
    const counts = new DeviceCounts(isOutOfTurn);
    counts.take(at(1, 1), true);
    counts.take({ ...far, n: 3 }, true);
    expect(counts.fault(at(4, 1), false)?.code).toBe("N_GAP");
    counts.take(at(2, 1), true);
    expect(counts.fault(at(4, 1), false)).toBeNull();
  });

  it("[S141] has a moment that a date can be made of", () => {
    expect(readEntry({ ...far, at: 8.64e15 }).ok).toBe(true);
    expect(readEntry({ ...far, at: 2 ** 53 - 1 }).ok).toBe(false);
  });
});

describe("what may be written at all", () => {
  it("[S38] is not read where no canonical form has it, wherever it stands", () => {
    const mark = aMark(aPen("judge-1"));
    for (const odd of [
      Number.POSITIVE_INFINITY,
      Number.NaN,
      "\ud800",
      "a\udfffb",
      { deep: ["\udc00"] },
      { "\ud801": 1 },
    ])
      for (const entry of [
        { ...mark, more: odd },
        { ...mark, body: { ...mark.body, more: odd } },
      ])
        expect([JSON.stringify(odd), readEntry(entry).ok]).toEqual([JSON.stringify(odd), false]);
    expect(readEntry({ ...mark, more: "道場 \u{1f94b}" }).ok).toBe(true);
  });

  it("[S38] is not larger than its kind has reason to be, whatever key holds it; what a day writes is far below", () => {
    const pen = aPen("judge-1");
    const fat = (entry: object) =>
      ({ ...entry, padding: "x".repeat(500_000) }) as unknown as AnyEntry;
    for (const entry of [
      pen.write("stopped", { wave: null }),
      pen.write("withdrawn", { candidate: anId("candidate-1"), why: "hurt" }),
      aMark(pen),
    ])
      expect([entry.kind, sizeFault(fat(entry))?.code]).toEqual([entry.kind, "ENTRY_TOO_LARGE"]);
    for (const entry of aTestDay({ judges: 7, candidates: 60 }).plan)
      expect([entry.kind, sizeFault(entry)]).toEqual([entry.kind, null]);
  });
});
