import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { ItemId } from "../../../src/belt-test/identity.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { aCase, at, type Level } from "../../builders/a-case.ts";
import { aRubric } from "../../builders/a-rubric.ts";

const item = (id: string) => id as ItemId;
/** Meets and done everywhere, but for the cells named; the levels are per judge. */
const but =
  (cells: Record<string, Level | Level[]>, otherwise = 3) =>
  (place: Parameters<typeof at>[0], judge: number): Level => {
    const key = Object.keys(cells).find((one) => at(place).startsWith(one));
    const level = key === undefined ? undefined : cells[key];
    if (level === undefined) return place.criterion === "done" ? 2 : otherwise;
    return Array.isArray(level) ? (level[judge - 1] as Level) : level;
  };

describe("the outcome of one candidate", () => {
  it("[V3] a candidate worked on paper", () => {
    // Points 0, 33.3, 66.7, 100. Two judges.
    // Rising block, both sides: left chamber 3 and 2 is 2½, 50 points; the other five cells 66.7: (5 × 66.7 + 50) / 6 = 767/12.
    // Low block: chamber Strong, target Meets: (100 + 66.7) / 2 = 1667/20.
    // Once in the section: stance Meets, spirit Nearly: (66.7 + 33.3) / 2 = 50.
    // Blocks: (767/12 + 1667/20 + 50) / 3 = 2959/45, about 65.76.
    // Etiquette: one of two done: 50. Weights 3 and 1: (3 × 2959/45 + 50) / 4 = 3709/60, about 61.82, to a tenth 61.8. Pass at 60.
    const found = outcome(
      aCase({
        level: but({
          "blocks/rising-block/left/chamber": [3, 2],
          "blocks/low-block//chamber": 4,
          "blocks///spirit": 2,
          "etiquette/ties-belt": 1,
        }),
      }),
    );
    expect(found.sections.map(({ score }) => score?.exact)).toEqual(["2959/45", "50"]);
    expect(found.score?.exact).toBe("3709/60");
    expect(found.score?.percent).toBeCloseTo(61.8166667, 6);
    expect(found.scoreRounded).toBe(61.8);
    expect(found.computed).toBe("pass");
    expect(
      found.panelMarks.find((mark) => at(mark) === "blocks/rising-block/left/chamber"),
    ).toMatchObject({
      level: 2.5,
      exact: "5/2",
      judges: ["judge-1", "judge-2"],
      used: ["judge-1", "judge-2"],
    });
  });

  it("[V3] criterion weights share out an item over the criteria it asks for", () => {
    const criteria = aRubric().criteria.map((one) => ({
      ...one,
      weight: one.id === "chamber" ? 2 : 1,
    }));
    const found = outcome(
      aCase({
        rubric: aRubric({ criteria }),
        level: but({ "blocks/low-block//chamber": 4, "blocks/low-block//target": 1 }),
      }),
    );
    // Low block: chamber 100 twice, target 0 once: 200/3. The two other items 66.7 each: (200/3 + 2 × 66.7) / 3 = 3001/45.
    expect(found.sections[0]?.score?.exact).toBe("3001/45");
  });

  it("[V2] decimals are read as written, and the rounded total meets the pass mark at ≥", () => {
    // Everything Meets: blocks 66.7, etiquette 100: (3 × 66.7 + 100) / 4 = 75.025 exactly, which binary cannot say.
    const passAt = (mark: number, to: number, mode: "half-up" | "half-even" | "down") =>
      outcome(aCase({ rubric: aRubric({ pass: { mark, rounding: { to, mode } } }) }));
    expect(passAt(75.03, 0.01, "half-up")).toMatchObject({ computed: "pass", scoreRounded: 75.03 });
    expect(passAt(75.03, 0.01, "half-even")).toMatchObject({
      computed: "retest",
      scoreRounded: 75.02,
    });
    expect(passAt(75.02, 0.01, "half-even").computed).toBe("pass");
    expect(passAt(75.03, 0.01, "down")).toMatchObject({ computed: "retest", scoreRounded: 75.02 });
    expect(passAt(75, 5, "down").computed).toBe("pass");
    expect(passAt(75.025, 0.001, "half-up").computed).toBe("pass");
  });

  it("[V2] comparing with the pass line is the same as rounding first", () => {
    const tenths = fc.integer({ min: 0, max: 1000 }).map((n) => n / 10);
    fc.assert(
      fc.property(
        tenths,
        fc.constantFrom(0.1, 0.25, 1, 3, 5),
        fc.constantFrom("half-up" as const, "half-even" as const, "down" as const),
        fc.array(fc.integer({ min: 1, max: 4 }), { minLength: 6, maxLength: 6 }),
        (mark, to, mode, levels) => {
          const rubric = aRubric({ pass: { mark, rounding: { to, mode } } });
          for (const section of rubric.sections) section.floor = 0;
          let next = 0;
          const level = ({ criterion }: { criterion: string }) =>
            criterion === "done" ? 2 : (levels[next++ % levels.length] as number);
          const { computed, scoreRounded } = outcome(aCase({ rubric, judges: 1, level }));
          expect(computed).toBe((scoreRounded as number) >= mark - 1e-9 ? "pass" : "retest");
        },
      ),
    );
  });

  it("[V4] what nobody saw gives its weight to the rest, down to three quarters", () => {
    // Low block unseen is a third of blocks: too much. Its chamber alone is a sixth: the rest stands for it.
    const sixth = outcome(
      aCase({ level: but({ "blocks/low-block//chamber": null, "blocks/low-block//target": 4 }) }),
    );
    // Five sixths seen: 4 at 66.7 and 1 at 100 (in sixths of the section) over 5 = 73.36.
    expect(sixth.sections[0]).toMatchObject({ score: { exact: "1834/25" }, unmet: [] });
    expect(sixth.sections[0]?.seen).toBeCloseTo(5 / 6, 12);
    expect(sixth.computed).toBe("pass");
    const third = outcome(aCase({ level: but({ "blocks/low-block": "not-seen" }) }));
    expect(third).toMatchObject({
      computed: "incomplete",
      score: null,
      scoreRounded: null,
      retestSections: [],
    });
    expect(third.sections[0]).toMatchObject({
      score: null,
      unmet: [{ kind: "floor", item: null, why: "unseen" }],
    });
    expect(
      third.questions.some(({ kind, section }) => kind === "unseen" && section === "blocks"),
    ).toBe(true);
  });

  it("[V4] exactly three quarters is enough", () => {
    const rubric = aRubric({
      sections: [
        {
          id: "knowledge",
          title: "Knowledge",
          weight: 1,
          marking: "checklist",
          items: ["a", "b", "c", "d"].map((id) => ({ id, title: id, group: "knowledge" })),
        },
      ],
    });
    expect(outcome(aCase({ rubric, level: but({ "knowledge/a": null }) })).computed).toBe("pass");
    expect(
      outcome(aCase({ rubric, level: but({ "knowledge/a": null, "knowledge/b": null }) })).computed,
    ).toBe("incomplete");
  });

  it("[V5] an excused item counts neither for nor against", () => {
    const level = but({ "blocks/low-block": 1 });
    expect(outcome(aCase({ level })).sections[0]?.score?.percent).toBeCloseTo((2 * 66.7) / 3, 9);
    const found = outcome(aCase({ level, excused: [item("low-block")] }));
    expect(found.sections[0]).toMatchObject({ score: { exact: "667/10" }, seen: 1, unmet: [] });
    const all = outcome(
      aCase({ excused: [item("low-block"), item("rising-block")], level: but({ blocks: 1 }) }),
    );
    expect(all.sections[0]).toMatchObject({ score: null, isExcused: true, unmet: [] });
    expect(all).toMatchObject({ computed: "pass", score: { exact: "100" } });
  });

  const withMustShow = (floor: number) => {
    const rubric = aRubric();
    const low = rubric.sections[0]?.items[1];
    if (low) low.mustShow = { floor };
    return rubric;
  };

  it("[V6] a must-show nobody saw makes the outcome incomplete, even when enough of its section was seen", () => {
    const rubric = withMustShow(50);
    const low = rubric.sections[0]?.items[1];
    if (low) low.weight = 0.5;
    const found = outcome(aCase({ rubric, level: but({ "blocks/low-block": "not-seen" }) }));
    expect(found.sections[0]).toMatchObject({
      unmet: [{ kind: "must-show", item: "low-block", why: "unseen" }],
    });
    expect(found.sections[0]?.score).not.toBeNull();
    expect(found.computed).toBe("incomplete");
  });

  it("[V6] a must-show below its floor makes it a retest of its section", () => {
    const found = outcome(
      aCase({ rubric: withMustShow(50), level: but({ "blocks/low-block": 2 }) }),
    );
    expect(found).toMatchObject({ computed: "retest", retestSections: ["blocks"] });
    expect(found.sections[0]?.unmet.map(({ item }) => item)).toEqual(["low-block"]);
  });

  it("[V7] floors and must-shows are met at ≥, unrounded", () => {
    expect(outcome(aCase({ rubric: withMustShow(66.7) })).computed).toBe("pass");
    expect(outcome(aCase({ rubric: withMustShow(66.71) })).computed).toBe("retest");
    const withFloor = (floor: number) => {
      const rubric = aRubric();
      if (rubric.sections[0]) rubric.sections[0].floor = floor;
      return outcome(aCase({ rubric }));
    };
    expect(withFloor(66.7).computed).toBe("pass");
    expect(withFloor(66.70001)).toMatchObject({ computed: "retest", retestSections: ["blocks"] });
  });

  const threeSections = (mark: number, scope: "sections" | "whole" = "sections") =>
    aRubric({
      pass: { mark },
      retest: { waitDays: 28, scope, keptMonths: 12, attempts: 3 },
      sections: ["kicks", "form", "blocks"].map((id) => ({
        id,
        title: id,
        weight: 1,
        marking: "line" as const,
        items: [{ id: `${id}-one`, title: id, group: "block" as const, criteria: ["stance"] }],
      })),
    });

  it("[V8] if only the total fails, the fewest lowest sections that at Meets would pass it", () => {
    // 33.3, 0, 66.7: 33.3 in all. Form at Meets makes 55.6; kicks too makes 66.7.
    const level = but({ kicks: 2, form: 1, blocks: 3 });
    expect(outcome(aCase({ rubric: threeSections(50), level }))).toMatchObject({
      computed: "retest",
      retestSections: ["form"],
    });
    expect(outcome(aCase({ rubric: threeSections(60), level })).retestSections).toEqual([
      "kicks",
      "form",
    ]);
    // Even all at Meets would not pass 80: everything below Meets.
    expect(outcome(aCase({ rubric: threeSections(80), level })).retestSections).toEqual([
      "kicks",
      "form",
    ]);
    expect(outcome(aCase({ rubric: threeSections(50, "whole"), level })).retestSections).toEqual([
      "kicks",
      "form",
      "blocks",
    ]);
  });

  it("[V15] certainty is never invented", () => {
    expect("certainty" in outcome(aCase())).toBe(false);
  });

  it("someone nobody has marked is incomplete, and someone absent raises no questions", () => {
    const blank = outcome(aCase({ level: () => null }));
    expect(blank).toMatchObject({ computed: "incomplete", score: null, panelMarks: [] });
    expect(outcome(aCase({ level: () => null, presence: "absent" })).questions).toEqual([]);
  });

  it("marks the rubric does not ask for are no marks", () => {
    const from = aCase();
    const [first] = from.marks;
    if (!first) throw new Error("a case without marks");
    const strange = [
      { ...first, judge: "judge-9" as typeof first.judge, item: item("flying-kick"), level: 1 },
      { ...first, judge: "judge-9" as typeof first.judge, level: 7 },
    ];
    expect(outcome({ ...from, marks: [...from.marks, ...strange] })).toEqual(outcome(from));
  });
});
