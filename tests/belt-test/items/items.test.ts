import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { borderline } from "../../../src/belt-test/items/borderline.ts";
import { type ItemCase, itemReport } from "../../../src/belt-test/items/item-report.ts";
import { straightLine } from "../../../src/belt-test/items/straight-line.ts";
import type { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aCase } from "../../builders/a-case.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { anId } from "../../builders/an-id.ts";

const rubric = aRubric();
const blocks = "blocks" as SectionId;

/** One candidate's case; `level` by item and candidate, the same by both judges. */
function aClass(
  candidates: number,
  level: (item: string, candidate: number) => number,
  by = rubric,
  judgement?: (candidate: number) => number,
): ItemCase[] {
  return Array.from({ length: candidates }, (_, place) => {
    const from = aCase({
      rubric: by,
      level: ({ item, section }) => (section === "etiquette" ? 2 : level(item ?? "", place)),
    });
    const overalls = judgement
      ? [{ judge: "judge-1" as PersonId, section: blocks, judgement: judgement(place) }]
      : [];
    return {
      candidate: `candidate-${place + 1}` as CandidateId,
      rubric: by,
      outcome: outcome(from),
      overalls,
    };
  });
}
const itemOf = (cases: readonly ItemCase[], item: string | null, section = "blocks") =>
  itemReport(cases)[0]?.items.find((one) => one.item === item && one.section === section);

describe("a straight line", () => {
  // NIST Statistical Reference Datasets, linear regression “Norris”: y on x, certified values.
  // https://www.itl.nist.gov/div898/strd/lls/data/Norris.shtml
  const norris =
    "0.1 0.2,338.8 337.4,118.1 118.2,888.0 884.6,9.2 10.1,228.1 226.5,668.5 666.3,998.5 996.3,449.1 448.6,778.9 777.0,559.2 558.2,0.3 0.4,0.1 0.6,778.1 775.5,668.8 666.9,339.3 338.0,448.9 447.5,10.8 11.6,557.7 556.0,228.3 228.1,998.0 995.8,888.8 887.6,119.6 120.2,0.3 0.3,0.6 0.3,557.6 556.8,339.3 339.1,888.0 887.2,998.5 999.0,778.9 779.0,10.2 11.1,117.6 118.3,228.9 229.2,668.4 669.1,449.2 448.9,0.2 0.5"
      .split(",")
      .map((line) => line.split(" ").map(Number) as [number, number])
      .map(([y, x]) => [x, y] as const);
  it("[I4] is that of NIST's Norris data: slope, intercept with its error, correlation", () => {
    const found = straightLine(norris);
    expect(found?.slope).toBeCloseTo(1.00211681802045, 12);
    expect(found?.at(0)).toBeCloseTo(-0.262323073774029, 10);
    expect(found?.errorAt(0)).toBeCloseTo(0.232818234301152, 10);
    expect((found?.correlation ?? 0) ** 2).toBeCloseTo(0.999993745883712, 12);
  });
  it("[I3] is none of two points or of equal ones, and refuses NaN", () => {
    expect(
      straightLine([
        [1, 2],
        [2, 3],
      ]),
    ).toBeNull();
    expect(
      straightLine([
        [1, 2],
        [1, 3],
        [1, 4],
      ]),
    ).toBeNull();
    expect(() => straightLine([[1, Number.NaN]])).toThrow(RangeError);
  });
});

describe("items", () => {
  it("[I1] are as hard as what was reached, worked by hand", () => {
    // Three candidates at Nearly (33.3) and one at Strong (100): (3 × 33.3 + 100) / 4 = 49.975; three of four below Meets.
    const cases = aClass(4, (item, at) => (item === "low-block" ? (at < 3 ? 2 : 4) : 3));
    expect(itemOf(cases, "low-block")).toMatchObject({
      candidates: 4,
      reached: expect.closeTo(49.975, 9),
      missed: 0.75,
    });
    expect(itemOf(cases, "rising-block")).toMatchObject({
      reached: expect.closeTo(66.7, 9),
      missed: 0,
    });
    expect(itemOf(cases, null)).toMatchObject({ reached: expect.closeTo(66.7, 9) });
    expect(itemOf(cases, "bows-in", "etiquette")).toMatchObject({ reached: 100, missed: 0 });
  });
  it("[I1] nobody saw are not in the report", () => {
    const cases = aClass(4, () => 3).map((one) => ({
      ...one,
      outcome: {
        ...one.outcome,
        panelMarks: one.outcome.panelMarks.filter(({ item }) => item !== "low-block"),
      },
    }));
    expect(itemOf(cases, "low-block")).toBeUndefined();
  });
  it("[I2] that the whole class missed are named, hardest first, of four or more", () => {
    const hard = (item: string, at: number) =>
      item === "low-block" ? 1 : item === "rising-block" && at > 0 ? 2 : 3;
    expect(itemReport(aClass(4, hard))[0]?.missed.map(({ item }) => item)).toEqual([
      "low-block",
      "rising-block",
    ]);
    expect(itemReport(aClass(3, hard))[0]?.missed).toEqual([]);
    expect(itemReport(aClass(4, () => 3))[0]?.missed).toEqual([]);
  });
  it("[I3] that go with the rest tell the ready from the others; that go against it do not", () => {
    const cases = aClass(12, (item, at) => (item === "low-block" ? 4 - (at % 4) : (at % 4) + 1));
    expect(itemOf(cases, "low-block")?.discrimination).toBeCloseTo(-1, 9);
    // Alone in differing: the rest without it is the same of everybody.
    const alone = aClass(12, (item, at) => (item === "low-block" ? (at % 4) + 1 : 3));
    expect(itemOf(alone, "low-block")).toMatchObject({ discrimination: null, reason: "all-equal" });
    const alike = aClass(12, (_, at) => (at % 4) + 1);
    expect(itemOf(alike, "low-block")?.discrimination).toBeCloseTo(1, 9);
    expect(
      itemOf(
        aClass(9, (_, at) => (at % 4) + 1),
        null,
      ),
    ).toMatchObject({
      discrimination: null,
      reason: "too-few",
    });
    expect(
      itemOf(
        aClass(12, () => 3),
        null,
      ),
    ).toMatchObject({ discrimination: null, reason: "all-equal" });
  });
  it("[I3] count those only of whom the rest was seen too, and say so where an item stands alone", () => {
    const cases = aClass(12, (_, at) => (at % 4) + 1);
    // Of three of twelve nothing but the low block was seen: nine are left.
    const short = cases.map((one, at) => ({
      ...one,
      outcome: {
        ...one.outcome,
        panelMarks: one.outcome.panelMarks.filter(({ item }) => at >= 3 || item === "low-block"),
      },
    }));
    expect(itemOf(short, "low-block")).toMatchObject({
      candidates: 12,
      discrimination: null,
      reason: "too-few",
    });
    const { onceASection: _, ...section } = rubric.sections[0] as Rubric["sections"][number];
    const one = aRubric({ sections: [{ ...section, items: section.items.slice(0, 1) }] });
    const [item] = itemReport(aClass(12, (_, at) => (at % 4) + 1, one))[0]?.items ?? [];
    expect(item).toMatchObject({ candidates: 12, discrimination: null, reason: "nothing-else" });
  });
  it("[I5] are the same whoever comes first, and whoever was tested by another rubric", () => {
    const cases = aClass(11, (item, at) => ((at * item.length) % 4) + 1);
    const [first] = itemReport(cases);
    const [turned] = itemReport([...cases].reverse());
    for (const [place, one] of (first?.items ?? []).entries()) {
      const other = turned?.items[place];
      expect(other?.reached).toBeCloseTo(one.reached, 9);
      expect(other?.discrimination ?? 0).toBeCloseTo(one.discrimination ?? 0, 9);
    }
    const others = aClass(5, () => 1, aRubric({ id: anId("other-rank") }));
    expect(itemReport([...cases, ...others])[0]).toEqual(first);
    expect(itemReport([...cases, ...others])).toHaveLength(2);
  });
});

describe("where the judges' words put the mark", () => {
  it("[I4] the borderline group's median and the line at borderline, worked by hand", () => {
    // Scores are 20 × judgement + 15, so the line stands at 55 for borderline; ten borderline cases at 55 but for one at 40.
    const cases = Array.from({ length: 40 }, (_, at) => {
      const judgement = (at % 4) + 1;
      return { score: 20 * judgement + 15, judgement };
    });
    const found = borderline(cases);
    expect(found.group).toMatchObject({ mark: 55, cases: 10 });
    expect(found.regression).toMatchObject({
      mark: expect.closeTo(55, 9),
      cases: 40,
      error: expect.closeTo(0, 6),
      share: expect.closeTo(1, 9),
    });
  });
  it("[I4] is not said of too few, nor of equal judgements", () => {
    const nine = Array.from({ length: 9 }, () => ({ score: 50, judgement: 2 }));
    expect(borderline(nine)).toMatchObject({
      group: { mark: null, cases: 9, reason: "too-few" },
      regression: { mark: null, cases: 9, reason: "too-few", share: null },
    });
    const equal = Array.from({ length: 25 }, (_, at) => ({ score: at, judgement: 2 }));
    expect(borderline(equal).regression).toMatchObject({ mark: null, reason: "all-equal" });
    expect(borderline(equal).group).toMatchObject({ mark: 12, cases: 25 });
    expect(() => borderline([{ score: 101, judgement: 2 }])).toThrow(RangeError);
    expect(() => borderline([{ score: 50, judgement: Number.NaN }])).toThrow(RangeError);
  });
  it("[I4] lies between the scores when they rise with the judgements, whatever the order", () => {
    const cases = fc.array(
      fc.record({
        score: fc.integer({ min: 0, max: 100 }),
        judgement: fc.integer({ min: 1, max: 4 }),
      }),
      { minLength: 20, maxLength: 60 },
    );
    fc.assert(
      fc.property(cases, (given) => {
        const [one, other] = [borderline(given), borderline([...given].reverse())];
        expect(other.group).toEqual(one.group);
        if (one.regression.mark !== null)
          expect(other.regression.mark).toBeCloseTo(one.regression.mark, 6);
      }),
    );
  });
  it("[I4] reads sections and the whole from a test", () => {
    const cases = aClass(
      24,
      (_, at) => (at % 4) + 1,
      rubric,
      (at) => (at % 4) + 1,
    );
    const marks = itemReport(cases)[0]?.passMarks;
    expect(marks?.map(({ section, now }) => [section, now])).toEqual([
      [null, 60],
      ["blocks", 40],
    ]);
    // Points 0, 33.3, 66.7, 100 on 1–4: the slope is (16.7 + 150) / 5 = 33.34, the mean 50: at 2 the line stands at 33.33.
    expect(marks?.[1]?.regression.mark).toBeCloseTo(33.33, 9);
  });
});
