import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { CHILDREN, RawDay } from "./a-raw-day.ts";
import type { RawTablet } from "./a-raw-tablet.ts";

const [MIA = "", BEN = ""] = CHILDREN;

let day: RawDay;
let judges: RawTablet[];
beforeAll(async () => {
  ({ day, judges } = await RawDay.begin(["one", "other"]));
}, 60_000);
afterAll(() => day.end());

/** Everything of one child by one judge, locked. */
async function marks(judge: RawTablet, candidate: string, rising: number): Promise<void> {
  const first = judge.mark(candidate, rising);
  const lines = [first, judge.mark(candidate, 3, {}, { item: "low" }), judge.lock(candidate)];
  expect(await judge.handIn(...lines)).toEqual([undefined, undefined, undefined]);
}

describe("a chief's client that shares no code with the hub", () => {
  it("[H110] issues no verdict that says otherwise than the marks, nor one that leaves a question open without a word", async () => {
    const [one, other] = judges as [RawTablet, RawTablet];
    for (const judge of judges) await marks(judge, MIA, 1);
    await marks(one, BEN, 1);
    await marks(other, BEN, 4);
    const { chief } = day;
    await chief.until(
      () => chief.entries.filter(({ kind }) => kind === "locked").length === 4,
      "the locks",
    );
    const basis = Object.fromEntries(
      [...judges, chief].map(({ who, n }) => [who.device, n] as const),
    );
    const issue = async (candidate: string, result: string, computed: string, more = {}) => {
      const retestSections = result === "pass" ? [] : ["blocks"];
      const body = { candidate, result, computed, retestSections, basis, ...more };
      const [answer] = await chief.handIn(chief.write("verdict", body));
      return answer;
    };
    expect(await issue(MIA, "pass", "retest")).toBe("REASON_MISSING");
    expect(await issue(MIA, "retest", "pass")).toBe("REASON_MISSING");
    const report = (await day.report()).candidates;
    const computedOf = (who: string) =>
      String(report.find(({ candidate }) => candidate === who)?.computed);
    for (const candidate of [MIA, BEN]) {
      const lie = computedOf(candidate) === "pass" ? "retest" : "pass";
      expect(await issue(candidate, lie, lie)).toBe("COMPUTED_OTHER");
      expect(await issue(candidate, lie, lie, { basis: {} })).toBe("COMPUTED_OTHER");
    }
    // Two judges stood three levels apart.
    expect(await issue(BEN, computedOf(BEN), computedOf(BEN))).toBe("QUESTION_OPEN");
    expect(await issue(MIA, computedOf(MIA), computedOf(MIA))).toBeUndefined();
  });
});
