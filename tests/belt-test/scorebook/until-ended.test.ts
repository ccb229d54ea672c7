import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { EntryId } from "../../../src/book/identity.ts";
import { byAge } from "../../../src/book/order.ts";
import { aPen } from "../../builders/a-pen.ts";

const mia = "candidate-1" as CandidateId;
const penAt = (person: string, lamport: number) => {
  const pen = aPen(person);
  pen.hear(lamport - 1);
  return pen;
};
const stopBy = (person: string, lamport: number) =>
  penAt(person, lamport).write("stopped", { wave: 1 });
const clearAt = (lamport: number, stops?: EntryId[]) =>
  penAt("caller", lamport).write("floor-cleared", stops ? { stops } : {});
const leaves = (person: string, lamport: number) =>
  penAt(person, lamport).write("withdrawn", { candidate: mia, why: "hurt" });
const backAt = (lamport: number, withdrawals?: EntryId[]) =>
  penAt("desk", lamport).write("withdrawn", {
    candidate: mia,
    why: null,
    ...(withdrawals ? { withdrawals } : {}),
  });

const isStopped = (book: Scorebook) => book.floor.stop?.stopped;

describe("a stop", () => {
  it("[S291] that whoever cleared the floor had not heard of stands, whichever of the two has the higher logical time", () => {
    const heard = stopBy("judge-2", 9);
    const unheard = stopBy("judge-1", 4);
    const clear = clearAt(10, [heard.id]);
    expect(isStopped(fold([heard, clear]))).toBe(false);
    for (const order of [
      [heard, clear, unheard],
      [unheard, clear, heard],
      [clear, heard, unheard],
    ]) {
      expect(fold(order).floor.stop).toEqual({ stopped: true, by: "judge-1", at: unheard.at });
      expect(isStopped(fold([...order, clearAt(11, [unheard.id])]))).toBe(false);
    }
    // A caller who was off the line, far ahead, cleared a stop of their own.
    const own = stopBy("caller", 30);
    expect(isStopped(fold([own, clearAt(31, [own.id]), heard]))).toBe(true);
  });

  it("[S293] is over by a newer word that names none, of an earlier version, and by no older one", () => {
    const stop = stopBy("judge-1", 9);
    expect(isStopped(fold([stop, clearAt(10)]))).toBe(false);
    expect(isStopped(fold([stop, clearAt(8)]))).toBe(true);
    expect(isStopped(fold([stop, clearAt(10, [])]))).toBe(true);
  });

  it("[S293] and books in which nobody said what they knew say what they said: the newest stands", () => {
    const line = fc.record({
      person: fc.constantFrom("judge-1", "caller", "desk"),
      lamport: fc.integer({ min: 1, max: 12 }),
      ends: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(line, { minLength: 1, maxLength: 12 }), (lines) => {
        const distinct = [...new Map(lines.map((one) => [one.person + one.lamport, one])).values()];
        const written = distinct.flatMap(({ person, lamport, ends }): AnyEntry[] => {
          const withdrawn = { candidate: mia, why: ends ? null : ("hurt" as const) };
          const pen = penAt(person, lamport);
          return [
            ends ? pen.write("floor-cleared", {}) : pen.write("stopped", { wave: 1 }),
            pen.write("withdrawn", withdrawn),
          ];
        });
        const book = fold(written);
        const newest = (kinds: string[]) =>
          written
            .filter(({ kind }) => kinds.includes(kind))
            .sort(byAge)
            .at(-1);
        const said = newest(["stopped", "floor-cleared"]);
        expect(book.floor.stop).toEqual({
          stopped: said?.kind === "stopped",
          by: said?.by,
          at: said?.at,
        });
        const last = newest(["withdrawn"])?.body as { why: string | null };
        expect(book.floor.withdrawal(mia) ?? null).toBe(last.why);
      }),
    );
  });

  it("[S291] stands or not whatever order the lines come in, however often", () => {
    const stops = [1, 2, 3, 4].map((at) => stopBy(`judge-${at}`, at * 3));
    const left = [1, 2, 3].map((at) => leaves(`judge-${at}`, at * 3));
    const some = <One extends { id: EntryId }>(all: One[]) =>
      fc.option(fc.subarray(all.map(({ id }) => id)), { nil: undefined });
    const end = fc.record({
      at: fc.integer({ min: 1, max: 15 }),
      stops: some(stops),
      withdrawals: some(left),
    });
    fc.assert(
      fc.property(fc.array(end, { maxLength: 3 }), fc.infiniteStream(fc.nat()), (ends, chance) => {
        const all = [
          ...stops,
          ...left,
          ...ends.flatMap((one) => [clearAt(one.at, one.stops), backAt(one.at, one.withdrawals)]),
        ] as AnyEntry[];
        const shuffled = all
          .map((one) => ({ one, place: chance.next().value }))
          .sort((a, b) => a.place - b.place)
          .map(({ one }) => one);
        const [book, again] = [fold(all), fold([...shuffled, ...shuffled])];
        for (const one of [book, again]) {
          const isNamed = (id: EntryId) =>
            ends.some((end) => end.stops?.includes(id) || end.withdrawals?.includes(id));
          for (const { id } of [...one.floor.stops, ...one.floor.withdrawals(mia)])
            expect(isNamed(id)).toBe(false);
        }
        expect(again.floor.stop).toEqual(book.floor.stop);
        expect(again.floor.stops).toEqual(book.floor.stops);
        expect(again.floor.withdrawnBy(mia)).toEqual(book.floor.withdrawnBy(mia));
        expect(again.floor.presence(mia)).toBe(book.floor.presence(mia));
      }),
    );
  });
});

describe("a withdrawal", () => {
  it("[S292] that nobody who took one back had heard of stands, whichever has the higher logical time", () => {
    const wrongTap = leaves("desk", 8);
    const back = backAt(9, [wrongTap.id]);
    const hurt = leaves("judge-1", 3);
    expect(fold([wrongTap, back]).floor.presence(mia)).toBe("expected");
    for (const order of [
      [wrongTap, back, hurt],
      [hurt, back, wrongTap],
    ]) {
      const { floor } = fold(order);
      expect(floor.withdrawnBy(mia)?.id).toBe(hurt.id);
      expect(floor.withdrawals(mia)).toHaveLength(1);
      expect(fold([...order, backAt(10, [hurt.id])]).floor.presence(mia)).toBe("expected");
    }
  });

  it("[S292] is read, and takes nothing back, where what it says it knew of is no list", () => {
    const back = backAt(9);
    const odd = { ...back, body: { ...back.body, withdrawals: "nonsense" } } as unknown as AnyEntry;
    const read = readEntry(JSON.parse(JSON.stringify(odd)));
    expect(read.ok).toBe(true);
    const hurt = leaves("judge-1", 3);
    expect(fold([hurt, ...(read.ok ? [read.entry] : [])]).floor.presence(mia)).toBe("withdrawn");
  });
});
