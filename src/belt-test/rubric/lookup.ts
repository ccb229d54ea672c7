import type { CriterionId, ItemId, SectionId } from "../identity.ts";
import type { Side } from "./rubric.ts";
import { CHECKLIST_LEVELS, DONE, type Item, type Rubric, type Section } from "./rubric.ts";

export const sectionOf = (rubric: Rubric, id: SectionId): Section | undefined =>
  rubric.sections.find((section) => section.id === id);

export const itemOf = (section: Section, id: ItemId): Item | undefined =>
  section.items.find((item) => item.id === id);

/** The criteria marked at this place: of an item, or (`null`) those marked once a section. A checklist item has `done`. */
export function criteriaAt(section: Section, item: Item | null): readonly CriterionId[] {
  if (item === null) return section.onceASection?.criteria ?? [];
  return section.marking === "checklist" ? [DONE] : item.criteria;
}

/** The sides under which an item's marks are kept: `each` is marked left and right; all else under no side. */
export const markedSides = (item: Item | null): readonly (Side | null)[] =>
  item?.sides === "each" ? ["left", "right"] : [null];

/** How many levels a mark at this place may have. */
export const levelsAt = (rubric: Rubric, section: Section): number =>
  section.marking === "checklist" ? CHECKLIST_LEVELS : rubric.scale.levels.length;

/** The level that “rest meets” writes here: done in a checklist, the scale's *Meets* elsewhere. */
export const meetsLevelAt = (rubric: Rubric, section: Section): number =>
  section.marking === "checklist" ? CHECKLIST_LEVELS : rubric.scale.meetsLevel;
