import { criteriaAt, markedSides } from "../../belt-test/rubric/lookup.ts";
import type { Section } from "../../belt-test/rubric/rubric.ts";

/** How many cells a section asks for. */
export const anchorCells = (section: Section): number =>
  [...section.items, null].reduce(
    (sum, item) => sum + markedSides(item).length * criteriaAt(section, item).length,
    0,
  );
