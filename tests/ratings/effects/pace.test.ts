import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { markStrokes } from "../../../src/belt-test/verdict/mark-strokes.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { hasty, type Pace, pace, type Stroke } from "../../../src/ratings/effects/pace.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";

/** One technique after another on one device, each taking so many seconds. */
function strokes(seconds: readonly number[], { device = "a", clockMs = 0 } = {}): Stroke[] {
  let atMs = clockMs;
  return [0, ...seconds].map((took, i) => {
    atMs += 1000 * took;
    return { device, lamport: i + 1, atMs, place: `${i}` };
  });
}
const dayMs = 86_400_000;

describe("how fast a judge marks", () => {
  it("[E6] is the middle time from place to place, and the share that took less than five seconds", () => {
    // Worked by hand: sorted 1 2 4 5 8 9 10 11 12 20; the middle (8 + 9) / 2; three below five.
    expect(pace(strokes([10, 2, 8, 5, 12, 4, 20, 1, 9, 11]))).toEqual({
      places: 10,
      medianSeconds: 8.5,
      quickShare: 0.3,
    });
  });
  it("[E6] counts all lines of one place as one, to the last of them", () => {
    const twice = strokes(Array.from({ length: 12 }, () => 10)).flatMap((one) => [
      { ...one, lamport: 2 * one.lamport - 1, atMs: one.atMs - 3000 },
      { ...one, lamport: 2 * one.lamport },
    ]);
    expect(pace(twice)).toEqual({ places: 12, medianSeconds: 10, quickShare: 0 });
  });
  it("[E6] does not know of days, pauses, clocks set back, or second visits", () => {
    const ten = Array.from({ length: 12 }, () => 10);
    const plain = pace(strokes(ten));
    expect(pace(strokes(ten, { clockMs: -dayMs }))).toEqual(plain);
    // A pause of an hour, and a clock set back by one, each instead of a place's ten seconds.
    for (const odd of [3600, -3600])
      expect(pace(strokes([...ten.slice(0, 6), odd, ...ten.slice(6)]))).toEqual(plain);
    // Set back in the midst of a place and forward again: the sum looks like ten seconds.
    const set = strokes([...ten, 10]);
    const last = set.at(-1) as Stroke;
    const midst = { ...last, lamport: last.lamport, atMs: last.atMs - dayMs };
    expect(pace([...set.slice(0, -1), midst, { ...last, lamport: last.lamport + 1 }])).toEqual(
      plain,
    );
    // Back to the first place for a correction, in a second.
    expect(
      pace([...strokes(ten), { device: "a", lamport: 14, atMs: 121_000, place: "0" }]),
    ).toEqual(plain);
  });
  it("[E6] never compares the clocks of two devices", () => {
    const half = Array.from({ length: 6 }, () => 10);
    const other = strokes(half, { device: "b", clockMs: 62_000 }).map((one) => ({
      ...one,
      place: `b${one.place}`,
    }));
    expect(pace([...strokes(half), ...other])).toEqual({
      places: 12,
      medianSeconds: 10,
      quickShare: 0,
    });
  });
  it("[E6] leaves lists and what is marked once a section out, but not the time they took", () => {
    const all = strokes(Array.from({ length: 22 }, () => 10)).map((one, i) =>
      i % 2 ? { ...one, place: null } : one,
    );
    expect(pace(all)).toEqual({ places: 11, medianSeconds: 10, quickShare: 0 });
  });
  it("[E6] is a reason where there is too little, and the same in any order", () => {
    expect(pace([])).toEqual({ reason: "no-times" });
    expect(pace(strokes(Array.from({ length: 9 }, () => 10)))).toEqual({
      reason: "too-few-places",
    });
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -20, max: 900 }), { minLength: 5, maxLength: 40 }),
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
        (seconds, by) => {
          const given = strokes(seconds);
          const keys = new Map(given.map((one) => [one, by.next().value as number]));
          const mixed = [...given].sort(
            (a, b) => (keys.get(a) as number) - (keys.get(b) as number),
          );
          expect(pace(mixed)).toEqual(pace(given));
        },
      ),
    );
  });
});

describe("whose speed is worth a question", () => {
  const of = (quickShare: number): Pace => ({ places: 40, medianSeconds: 12, quickShare });
  it("[E6] is asked beside the others: a quarter quick, and a quarter more than their middle", () => {
    expect(hasty([of(0.4), of(0.1), of(0.2)])).toEqual([true, false, false]);
    expect(hasty([of(0.4), of(0.2), of(0.2)])).toEqual([false, false, false]);
    expect(hasty([of(0.24), of(0), of(0)])).toEqual([false, false, false]);
  });
  it("[E6] is nobody's where all are quick together, or nobody else's is known", () => {
    expect(hasty([of(1), of(1), of(1)])).toEqual([false, false, false]);
    expect(hasty([of(1), { reason: "no-times" }])).toEqual([false, false]);
  });
});

describe("a judge's lines of marks", () => {
  // Blocks: the rising block on two sides, the low block, and the spirit once; three candidates side by side.
  const { entries } = aMarkedDay();
  const book = fold(entries);
  const judge = "judge-1" as PersonId;
  const wave = () => 1;

  it("[E6] are of a place where something was watched, a whole line together", () => {
    const its = markStrokes(book, wave).get(judge) ?? [];
    expect(its.length).toBeGreaterThan(20);
    expect(new Set(its.map(({ place }) => place))).toEqual(
      new Set([
        "blocks/rising-block/left/1",
        "blocks/rising-block/right/1",
        "blocks/low-block//1",
        null,
      ]),
    );
  });
  it("[E6] are none while the section is closed", () => {
    const closed = fold(aMarkedDay({ locks: (who) => who !== "judge-2" }).entries);
    expect(markStrokes(closed, wave).size).toBe(0);
  });
  it("[E6] stand beside the effects, with a reason where they are too few", () => {
    const reconciler = new Reconciler(book);
    const reason = { reason: "too-few-places" };
    expect(reconciler.panel().judges.map((one) => one.pace)).toEqual([reason, reason, reason]);
    expect(reconciler.ways()[0]?.pace).toEqual(reason);
  });
});
