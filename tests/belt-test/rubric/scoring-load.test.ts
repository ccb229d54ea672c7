import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { heaviestStep } from "../../../src/belt-test/rubric/heaviest-step.ts";
import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { scoringLoad } from "../../../src/belt-test/rubric/scoring-load.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { shippedRubrics } from "../../builders/shipped-rubrics.ts";

/** Six counts: 19 s to watch, 8 s until the next call. */
const set = { watchSeconds: 19, gapSeconds: 8 };
const rubric = aRubric();
const blocks = rubric.sections[0] as Rubric["sections"][number];
const risingBlock = blocks.items[0] as Rubric["sections"][number]["items"][number];

describe("a judge's load", () => {
  // Worked by hand from the operators: 60·N·C·p/27 a minute; 1.3 s a candidate, 1.92 s an entry, 1.92 s to close.
  it.each([
    ["one candidate, five criteria, every cell", 1, 1, 11.1, 10.9, true],
    ["two by exception", 2, 0.2, 4.4, 8.4, true],
    ["three, every cell", 3, 1, 33.3, 32.7, false],
    ["three by exception", 3, 0.2, 6.7, 11.6, false],
    ["six by exception", 6, 0.2, 13.3, 21.2, false],
  ] as const)("[R13] %s", (_, candidates, share, demand, needed, fits) => {
    const load = scoringLoad({ ...set, candidates, criteria: 5, share });
    expect(load.demandPerMinute).toBeCloseTo(demand, 1);
    expect(load.neededSeconds).toBeCloseTo(needed, 1);
    expect(load.availableSeconds).toBeCloseTo(11, 10);
    expect(load.fits).toBe(fits);
  });

  it("[R13] three by exception fit when both sides are one set of 30 s", () => {
    expect(scoringLoad({ candidates: 3, criteria: 5, watchSeconds: 30, gapSeconds: 8 }).fits).toBe(
      true,
    );
  });

  it("[R13] warns above 8 entries a minute, not at 8, and asks for an override above 12", () => {
    const advice = (candidates: number, criteria: number) =>
      scoringLoad({ ...set, candidates, criteria }).advice;
    expect(advice(6, 3)).toBe("fine"); // 60·6·3·0.2/27 = 8
    expect(advice(6, 4)).toBe("warn"); // 10.7
    expect(advice(9, 3)).toBe("warn"); // 60·9·3·0.2/27 = 12
    expect(advice(6, 5)).toBe("override"); // 13.3
  });

  it("[R13] another candidate or criterion never makes it lighter", () => {
    const few = fc.integer({ min: 0, max: 12 });
    fc.assert(
      fc.property(few, few, (candidates, criteria) => {
        const now = scoringLoad({ ...set, candidates, criteria });
        for (const more of [
          scoringLoad({ ...set, candidates: candidates + 1, criteria }),
          scoringLoad({ ...set, candidates, criteria: criteria + 1 }),
        ]) {
          expect(more.demandPerMinute).toBeGreaterThanOrEqual(now.demandPerMinute);
          expect(more.neededSeconds).toBeGreaterThanOrEqual(now.neededSeconds);
        }
      }),
    );
  });

  it("[R13] nobody to watch is no load, and a set without time is a mistake", () => {
    expect(scoringLoad({ ...set, candidates: 0, criteria: 5 })).toMatchObject({
      demandPerMinute: 0,
      neededSeconds: 0,
      fits: true,
    });
    expect(() => scoringLoad({ ...set, candidates: Number.NaN, criteria: 5 })).toThrow(RangeError);
    expect(() =>
      scoringLoad({ candidates: 1, criteria: 5, watchSeconds: 0, gapSeconds: 0 }),
    ).toThrow(RangeError);
  });
});

describe("the heaviest step of a rubric", () => {
  it("[R13] is the one with the most entries a minute", () => {
    // Rising block: three criteria in 27 s. Low block: two criteria, both sides, in 39 s.
    expect(heaviestStep(rubric, 3)).toMatchObject({ section: "blocks", item: "rising-block" });
  });

  it("[R13] says how many candidates a judge can carry there", () => {
    // Three criteria: four candidates need 1.3·2.4 + 1.92·3.4 = 9.65 s of 11; five need 1.3·3 + 1.92·4 = 11.58.
    expect(heaviestStep(rubric, 6)?.carries).toBe(4);
    const one = { ...risingBlock, criteria: risingBlock.criteria.slice(0, 1) };
    const light = aRubric({ sections: [{ ...blocks, items: [one] }] });
    expect(heaviestStep(light, 6)?.carries).toBeGreaterThan(6);
  });

  it("[R13] a form is one candidate and every criterion, however long the line", () => {
    const form = { ...risingBlock, group: "form" as const, counts: 1, sides: "one" as const };
    const single = aRubric({ sections: [{ ...blocks, marking: "single", items: [form] }] });
    // 3 entries in 60 + 8 s.
    expect(heaviestStep(single, 6)?.load.demandPerMinute).toBeCloseTo((60 * 3) / 68, 10);
    expect(heaviestStep(single, 6)).toEqual(heaviestStep(single, 1));
    expect(heaviestStep(single, 1)?.carries).toBe(1);
  });

  it("[R13] there is none where nothing has a clock", () => {
    const checklist = rubric.sections.filter(({ marking }) => marking === "checklist");
    expect(heaviestStep(aRubric({ sections: checklist }), 6)).toBeNull();
  });

  it.each(shippedRubrics)(
    "[R13] a judge can carry at least three candidates of $file",
    ({ json }) => {
      for (const line of [2, 3]) {
        const step = heaviestStep(Rubric.parse(json), line);
        expect(step?.load.advice).toBe("fine");
      }
      const lines = Rubric.parse(json).sections.filter(({ marking }) => marking === "line");
      const step = heaviestStep({ ...Rubric.parse(json), sections: lines }, 3);
      expect(step?.carries).toBeGreaterThanOrEqual(3);
    },
  );
});
