import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import { aRubric } from "./a-rubric.ts";

/** The rubric of the tests as another version, in which some items are asked only from an age. */
export function aGatedRubric(version: number, from: Record<string, number | undefined>): Rubric {
  const rubric = aRubric({ version });
  const sections = rubric.sections.map((section) => ({
    ...section,
    items: section.items.map(({ minimumAge: _, ...item }) => {
      const minimumAge = from[item.id];
      return minimumAge === undefined ? item : { ...item, minimumAge };
    }),
  }));
  return { ...rubric, sections };
}
