import fc from "fast-check";
import { expect, it } from "vitest";
import { LEVEL_PARTS } from "../../../src/core/panel/panel-mark.ts";
import { restated, type Seen, sectionStanding } from "../../../src/core/verdict/standing.ts";
import { weighing } from "../../../src/core/verdict/weighing.ts";
import { aRubric } from "../../builders/a-rubric.ts";

const whole = weighing(aRubric());
const seen = fc.option(
  fc.integer({ min: LEVEL_PARTS, max: 4 * LEVEL_PARTS }),
) as fc.Arbitrary<Seen>;

it("a section counted again only where it changed is the section counted afresh", () => {
  const before = fc.array(seen, { minLength: whole.cells.length, maxLength: whole.cells.length });
  const changes = fc.dictionary(
    fc.integer({ min: 0, max: whole.cells.length - 1 }).map(String),
    seen,
  );
  fc.assert(
    fc.property(before, changes, (cells, others) => {
      const changed = new Map(Object.entries(others).map(([at, then]) => [Number(at), then]));
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
