import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import { aRubric } from "./a-rubric.ts";

/** One section of so many items, each marked once by all five criteria. */
export function itemsByFive(count: number): Rubric {
  const base = aRubric();
  const items = Array.from({ length: count }, (_, index) => ({
    id: `item-${index}`,
    title: `Item ${index}`,
    group: "block",
    criteria: base.criteria.map(({ id }) => id),
  }));
  const floor = base.sections[0]?.floor;
  return aRubric({
    sections: [
      { id: "blocks", title: "Blocks", weight: 1, marking: "line", floor, items },
    ] as never,
  });
}
