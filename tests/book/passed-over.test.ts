import { describe, expect, it } from "vitest";
import type { AnyEntry } from "../../src/book/entry.ts";
import { isAmong, PassedOver, withPassedOver } from "../../src/book/passed-over.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";

const { judges } = aTestDay();
const [judge, liar] = judges as [TestDay["judges"][number], TestDay["judges"][number]];

describe("what a chief's device passed over", () => {
  it("[S301] is what a line says, by whoever wrote it, until it is taken", () => {
    const [first, second] = [aMark(judge.pen), aMark(judge.pen, { level: 1 })] as AnyEntry[];
    const lines = [first, second] as [AnyEntry, AnyEntry];
    const passed = withPassedOver([], lines, []);
    expect(lines.map(isAmong(passed))).toEqual([true, true]);
    const others = [
      { ...lines[0], at: 1 },
      { ...lines[0], by: liar.person },
    ] as AnyEntry[];
    expect(others.map(isAmong(passed))).toEqual([false, false]);
    expect(lines.map(isAmong(withPassedOver(passed, [], [lines[0]])))).toEqual([false, true]);
    expect(withPassedOver(passed, [], lines)).toEqual([]);
  });

  it("[S301] is of bounded size, and nobody's nonsense pushes out what is another's", () => {
    const mine = aMark(judge.pen) as AnyEntry;
    const line = aMark(liar.pen) as AnyEntry;
    const nonsense = Array.from({ length: 2_100 }, (_, at) => ({ ...line, at }) as AnyEntry);
    const passed = withPassedOver(withPassedOver([], [mine], []), nonsense, []);
    expect(PassedOver.safeParse(passed).success).toBe(true);
    expect([mine, ...nonsense.slice(-1)].map(isAmong(passed))).toEqual([true, true]);
    expect(nonsense.slice(0, 1).map(isAmong(passed))).toEqual([false]);
  });
});
