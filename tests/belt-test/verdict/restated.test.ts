import fc from "fast-check";
import { expect, it } from "vitest";
import { restated, type Seen, sectionStanding } from "../../../src/belt-test/verdict/standing.ts";
import { weighing } from "../../../src/belt-test/verdict/weighing.ts";
import { LEVEL_PARTS } from "../../../src/ratings/panel-mark.ts";
import { aRubric } from "../../builders/a-rubric.ts";

const whole = weighing(aRubric());
/** What each cell may come to: nothing, or anything on its scale. */
const each = whole.cells.map(({ top }) =>
  fc.option(fc.integer({ min: LEVEL_PARTS, max: top * LEVEL_PARTS })),
) as fc.Arbitrary<Seen>[];

it("a section counted again only where it changed is the section counted afresh", () => {
  const before = fc.tuple(...each);
  const changes = fc.record(Object.fromEntries(each.map((seen, at) => [String(at), seen])), {
    requiredKeys: [],
  });
  fc.assert(
    fc.property(before, changes, (cells, others) => {
      const changed = new Map<number, Seen>(
        Object.entries(others).map(([at, then]) => [Number(at), then ?? null]),
      );
      const seenBefore = (at: number) => cells[at] as Seen;
      const seenAt = (at: number) =>
        changed.has(at) ? (changed.get(at) as Seen) : (cells[at] as Seen);
      for (const section of whole.sections) {
        const now = sectionStanding(whole, section, seenBefore);
        expect(restated(whole, now, changed, seenBefore)).toEqual(
          sectionStanding(whole, section, seenAt),
        );
      }
    }),
  );
});
