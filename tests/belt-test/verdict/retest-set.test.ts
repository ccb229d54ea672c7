import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { fewestFurther } from "../../../src/belt-test/verdict/fewest-further.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { aCase } from "../../builders/a-case.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { shippedRubrics } from "../../builders/shipped-rubrics.ts";

/** Fractions of this file alone: nothing here is shared with what it holds to account. */
type Fraction = [top: bigint, bottom: bigint];
const decimal = (value: number): Fraction => [BigInt(Math.round(value * 1000)), 1000n];
const add = ([a, b]: Fraction, [c, d]: Fraction): Fraction => [a * d + c * b, b * d];
const multiply = ([a, b]: Fraction, [c, d]: Fraction): Fraction => [a * c, b * d];
const divide = ([a, b]: Fraction, [c, d]: Fraction): Fraction => [a * d, b * c];
const isLess = ([a, b]: Fraction, [c, d]: Fraction): boolean => a * d < c * b;
const mean = (parts: readonly (readonly [value: Fraction, weight: Fraction])[]): Fraction => {
  const all = parts.reduce<Fraction>(
    (sum, [value, weight]) => add(sum, multiply(value, weight)),
    [0n, 1n],
  );
  return divide(
    all,
    parts.reduce<Fraction>((sum, [, weight]) => add(sum, weight), [0n, 1n]),
  );
};

const levels = [1, 2, 3, 4];
interface AnyItem {
  weight: number;
  mustShow: number | null;
  /** By each of two judges. */
  marks: [number, number];
}
interface AnySection {
  weight: number;
  floor: number;
  isChecklist: boolean;
  items: AnyItem[];
}
interface AnyTest {
  points: number[];
  meetsLevel: number;
  pass: number;
  rounding: { to: number; mode: "half-up" | "half-even" | "down" };
  sections: AnySection[];
}

const anyItem: fc.Arbitrary<AnyItem> = fc.record({
  weight: fc.constantFrom(1, 1.5, 2),
  mustShow: fc.constantFrom(null, null, null, 33.3, 60),
  marks: fc.tuple(fc.constantFrom(...levels), fc.constantFrom(...levels)),
});
const anyTest: fc.Arbitrary<AnyTest> = fc.record({
  points: fc.constantFrom([0, 33.3, 66.7, 100], [0, 25, 70, 100], [10, 20, 30, 90]),
  meetsLevel: fc.constantFrom(2, 3, 4),
  pass: fc.constantFrom(30, 45, 55, 60, 66.7, 70, 85, 100),
  rounding: fc.record({
    to: fc.constantFrom(0.1, 1, 2.5),
    mode: fc.constantFrom("half-up" as const, "half-even" as const, "down" as const),
  }),
  sections: fc.array(
    fc.record({
      weight: fc.constantFrom(1, 2, 3, 0.5, 10),
      floor: fc.constantFrom(0, 0, 0, 40, 50, 66.7, 90),
      isChecklist: fc.boolean(),
      items: fc.array(anyItem, { minLength: 1, maxLength: 3 }),
    }),
    { minLength: 1, maxLength: 7 },
  ),
});

const rubricOf = (test: AnyTest): Rubric => {
  const base = aRubric();
  return Rubric.parse({
    ...base,
    scale: {
      levels: test.points.map((points, at) => ({ title: `level ${at + 1}`, points })),
      meetsLevel: test.meetsLevel,
    },
    pass: { mark: test.pass, rounding: test.rounding },
    retest: { ...base.retest, scope: "sections" },
    sections: test.sections.map(({ weight, floor, isChecklist, items }, at) => ({
      id: `section-${at}`,
      title: `Section ${at}`,
      weight,
      floor,
      marking: isChecklist ? "checklist" : "line",
      items: items.map((item, place) => ({
        id: `item-${at}-${place}`,
        title: "An item",
        group: "block",
        weight: item.weight,
        criteria: isChecklist ? [] : ["stance"],
        ...(item.mustShow === null ? {} : { mustShow: { floor: item.mustShow } }),
      })),
    })),
  });
};
const levelOf = ({ isChecklist }: AnySection, mark: number): number =>
  isChecklist ? Math.min(mark, 2) : mark;

/** What the book of rules says, by trying every set of sections. */
function tried(test: AnyTest): { passes: boolean; repeat: string[] } {
  const rows = test.sections.map((section, place) => {
    const ladder = (section.isChecklist ? [0, 100] : test.points).map(decimal);
    const meets = section.isChecklist ? decimal(100) : (ladder[test.meetsLevel - 1] as Fraction);
    // The panel's mark is a level or half way between two, and so are its points.
    const shown = section.items.map(({ marks }) => {
      const twice = marks.reduce((sum, mark) => sum + levelOf(section, mark), 0);
      const both = [Math.floor(twice / 2), Math.ceil(twice / 2)];
      return mean(both.map((level) => [ladder[level - 1] as Fraction, [1n, 1n]] as const));
    });
    const score = mean(
      section.items.map(({ weight }, at) => [shown[at] as Fraction, decimal(weight)] as const),
    );
    const isShort =
      isLess(score, decimal(section.floor)) ||
      section.items.some(
        ({ mustShow }, at) => mustShow !== null && isLess(shown[at] as Fraction, decimal(mustShow)),
      );
    return { place, weight: decimal(section.weight), score, meets, isShort };
  });
  const passesWith = (repeated: readonly number[]): boolean => {
    const total = mean(
      rows.map(({ place, weight, score, meets }) => {
        const isBetter = repeated.includes(place) && isLess(score, meets);
        return [isBetter ? meets : score, weight] as const;
      }),
    );
    const [n, d] = divide(total, decimal(test.rounding.to));
    const down = n / d;
    const rest: Fraction = [n - down * d, d];
    const isHalf = !isLess(rest, [1n, 2n]) && !isLess([1n, 2n], rest);
    const isUp =
      test.rounding.mode !== "down" &&
      (isHalf ? test.rounding.mode === "half-up" || down % 2n === 1n : isLess([1n, 2n], rest));
    const rounded = multiply([down + (isUp ? 1n : 0n), 1n], decimal(test.rounding.to));
    return !isLess(rounded, decimal(test.pass));
  };

  const short = rows.filter(({ isShort }) => isShort).map(({ place }) => place);
  if (short.length === 0 && passesWith([])) return { passes: true, repeat: [] };
  const others = rows.filter(
    ({ place, score, meets }) => !short.includes(place) && isLess(score, meets),
  );
  const ways = Array.from({ length: 2 ** others.length }, (_, bits) =>
    others.filter((__, at) => (bits >> at) & 1),
  ).filter((way) => passesWith([...short, ...way.map(({ place }) => place)]));
  const sum = (way: typeof others) =>
    way.reduce<Fraction>((all, { score }) => add(all, score), [0n, 1n]);
  const [best] = ways.sort((a, b) => {
    if (a.length !== b.length) return a.length - b.length;
    if (isLess(sum(a), sum(b))) return -1;
    if (isLess(sum(b), sum(a))) return 1;
    const first = a.findIndex(({ place }, at) => place !== b[at]?.place);
    return first < 0 ? 0 : (a[first]?.place ?? 0) - (b[first]?.place ?? 0);
  });
  const repeat = [...short, ...(best ?? others).map(({ place }) => place)].sort((a, b) => a - b);
  return {
    passes: false,
    repeat: (repeat.length > 0 ? repeat : rows.map(({ place }) => place)).map(
      (place) => `section-${place}`,
    ),
  };
}

const caseOf = (test: AnyTest, rules: 1 | 2 = 2) =>
  aCase({
    rubric: rubricOf(test),
    rules,
    level: ({ item }, judge) => {
      const [, at, place] = (item ?? "").split("-").map(Number);
      const section = test.sections[at ?? 0] as AnySection;
      return levelOf(section, section.items[place ?? 0]?.marks[judge - 1] ?? 1);
    },
  });

describe("the sections of a retest", () => {
  it("[V80] are those that trying every set of sections finds", () => {
    fc.assert(
      fc.property(anyTest, (test) => {
        const found = outcome(caseOf(test));
        const { passes, repeat } = tried(test);
        expect(found.computed).toBe(passes ? "pass" : "retest");
        expect(found.retestSections).toEqual(repeat);
      }),
      { numRuns: 1500 },
    );
  });

  const junior = Rubric.parse(
    shippedRubrics.find(({ json }) => Rubric.parse(json).id === "white-to-yellow-junior")?.json,
  );
  /** Every level 2, chamber 3 in strikes and kicks, nothing of the checklist done. */
  const theIssues = (rules: 1 | 2) =>
    outcome(
      aCase({
        rubric: junior,
        rules,
        level: ({ section, criterion }) =>
          criterion === "done"
            ? 1
            : criterion === "chamber" && ["strikes", "kicks"].includes(section)
              ? 3
              : 2,
      }),
    );

  it("[V80] mend the total too where one section is below its floor", () => {
    const found = theIssues(2);
    expect(found.retestSections).toContain("blocks");
    expect(found.retestSections.length).toBeGreaterThan(1);
    const mended = outcome(
      aCase({
        rubric: junior,
        level: ({ section, criterion }) => {
          if (found.retestSections.includes(section)) return criterion === "done" ? 2 : 3;
          return criterion === "done"
            ? 1
            : criterion === "chamber" && ["strikes", "kicks"].includes(section)
              ? 3
              : 2;
        },
      }),
    );
    expect(mended.computed).toBe("pass");
  });

  it("[V81] a book of the old rules keeps the old answer", () => {
    expect(theIssues(1).retestSections).toEqual(["blocks"]);
    // The heavy one alone would do; the old rule takes the lowest first.
    const section = (weight: number, mark: number): AnySection => ({
      weight,
      floor: 0,
      isChecklist: false,
      items: [{ weight: 1, mustShow: null, marks: [mark, mark] }],
    });
    const test: AnyTest = {
      points: [0, 33.3, 66.7, 100],
      meetsLevel: 3,
      pass: 60,
      rounding: { to: 0.1, mode: "half-up" },
      sections: [section(1, 1), section(10, 2), section(1, 3)],
    };
    expect(outcome(caseOf(test, 2)).retestSections).toEqual(["section-1"]);
    expect(outcome(caseOf(test, 1)).retestSections).toEqual(["section-0", "section-1"]);
    fc.assert(
      fc.property(anyTest, (test) => {
        const { sections, retestSections, computed } = outcome(caseOf(test, 1));
        const short = sections.flatMap(({ id, unmet }) => (unmet.length === 0 ? [] : [id]));
        if (short.length > 0) expect(retestSections).toEqual(short);
        expect(computed).toBe(outcome(caseOf(test, 2)).computed);
      }),
      { numRuns: 200 },
    );
  });

  it("[V80] the most sections a rubric has are tried within a moment", () => {
    // Alike in gain and all but alike in score: nothing is cut off early.
    const choices = Array.from({ length: 16 }, (_, at) => ({
      gain: 1_000n + BigInt(at % 3),
      score: BigInt(1_000 + ((at * 7) % 16)),
    }));
    const began = performance.now();
    expect(fewestFurther(choices, (gain) => gain >= 8_008n)).toHaveLength(8);
    expect(performance.now() - began).toBeLessThan(1_000);
  });
});
