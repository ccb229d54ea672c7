import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { sheet, sheetChoices } from "../../../src/belt-test/feedback/sheet.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { placeKey } from "../../../src/belt-test/scorebook/cell.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { weighing } from "../../../src/belt-test/verdict/weighing.ts";
import { aCase } from "../../builders/a-case.ts";
import { shippedFaultLibrary, shippedRubrics } from "../../builders/shipped-rubrics.ts";

const library = FaultLibrary.parse(shippedFaultLibrary);
const shipped = shippedRubrics.map(({ json }) => Rubric.parse(json));

/** Anybody's test, by every panel rule, with any items excused. */
const anyTest = fc
  .record({
    rubric: fc.constantFrom(...shipped),
    combine: fc.constantFrom("mean", "median", "drop-high-low", "robust" as const),
    judges: fc.integer({ min: 1, max: 6 }),
    levels: fc.infiniteStream(fc.constantFrom(1, 2, 3, 3, 4, "not-seen" as const, null)),
    excused: fc.infiniteStream(fc.boolean()),
  })
  .map(({ rubric: plain, combine, judges, levels, excused }) => {
    const rubric = { ...plain, panel: { ...plain.panel, combine } };
    const level = (place: { criterion: string }) => {
      const one = levels.next().value;
      return place.criterion === "done" && typeof one === "number" ? Math.min(one, 2) : one;
    };
    const items = rubric.sections.flatMap((section) => section.items.map(({ id }) => id));
    return aCase({
      rubric,
      judges,
      level,
      excused: items.filter(() => excused.next().value && excused.next().value),
    });
  });

const inputOf = ({ rubric, marks, excused }: ReturnType<typeof aCase>) => ({
  rubric,
  marks,
  excused,
  faults: [],
  result: "pass" as const,
  sections: rubric.sections.map(({ id }) => id),
  repeat: [],
  gradedOn: "2026-06-06",
  library,
});

describe("a sheet beside its outcome", () => {
  it("[F10] names as below exactly what the outcome has below Meets, the costliest first, and as strong only what it has above", () => {
    fc.assert(
      fc.property(anyTest, (from) => {
        const { rubric } = from;
        const found = new Map(
          outcome(from).panelMarks.map((mark) => [placeKey(mark), mark] as const),
        );
        const weighed = weighing(rubric, from.excused);
        const sectionWeights = weighed.sections.reduce(
          (all, { from: first, to, weight }) => all + (first < to ? Number(weight) : 0),
          0,
        );
        const meetsAt = (key: string) =>
          found.get(key)?.criterion === "done" ? 2 : rubric.scale.meetsLevel;
        const worth = (key: string) => {
          const mark = found.get(key);
          if (!mark) throw new RangeError(`the outcome has nothing at ${key}`);
          if (mark.criterion === "done") return 100 * (mark.level - 1);
          const [low, high] = [Math.floor(mark.level), Math.ceil(mark.level)];
          const at = (level: number) => rubric.scale.levels[level - 1]?.points ?? 0;
          return at(low) + (at(high) - at(low)) * (mark.level - low);
        };
        const share = (key: string) => {
          const cell = weighed.cells[weighed.cellAt.get(key) ?? -1];
          const section = cell && weighed.sections[cell.section];
          if (!cell || !section) throw new RangeError(`nothing is asked at ${key}`);
          return (
            (Number(section.weight) / sectionWeights) *
            (Number(cell.weight) / Number(section.cellWeight))
          );
        };
        const meetsPoints = rubric.scale.levels[rubric.scale.meetsLevel - 1]?.points ?? 0;
        const costOf = (keys: readonly string[]) =>
          keys.reduce(
            (all, key) =>
              all +
              share(key) *
                ((found.get(key)?.criterion === "done" ? 100 : meetsPoints) - worth(key)),
            0,
          );

        const { strong, next } = sheetChoices(inputOf(from));
        const placesOf = (kind: string) =>
          [...strong, ...next]
            .filter((line) => line.kind === kind)
            .map(({ traces }) => [...new Set(traces.map(placeKey))]);
        const below = [...placesOf("below"), ...placesOf("not-done")].flat();
        expect(below.sort()).toEqual(
          [...found].flatMap(([key, { level }]) => (level < meetsAt(key) ? [key] : [])).sort(),
        );
        for (const key of placesOf("strong").flat())
          expect(found.get(key)?.level).toBeGreaterThan(meetsAt(key));
        for (const kind of ["below", "not-done"]) {
          const costs = placesOf(kind).map(costOf);
          costs.forEach((cost, place) => {
            expect(cost).toBeLessThanOrEqual((costs[place - 1] ?? cost) + 1e-9);
          });
        }
      }),
      { numRuns: 60 },
    );
  });

  it("[F10] never speaks of an excused item, whatever was marked of it", () => {
    fc.assert(
      fc.property(anyTest, (from) => {
        const input = inputOf(from);
        const excused = new Set<string | null>(from.excused);
        const { strong, next } = sheetChoices(input);
        const page = sheet(input);
        for (const { traces } of [...strong, ...next, ...page.strong, ...page.next])
          expect(traces.filter(({ item }) => excused.has(item))).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });
});
