import type { CriterionId, ItemId, SectionId } from "../identity.ts";
import { criteriaAt, itemOf, levelsAt, markedSides, sectionOf } from "./lookup.ts";
import type { Item, Rubric, Section, Side } from "./rubric.ts";

/** Where something is marked. */
interface MarkedAt {
  section: SectionId;
  item: ItemId | null;
  side: Side | null;
  criterion: CriterionId;
}

/** What of a mark a rubric does not have; the first of these, from the outside in. */
export type Misfit =
  | { not: "section" }
  | { not: "item"; section: Section }
  | { not: "side"; section: Section; item: Item | null }
  | { not: "criterion"; section: Section; item: Item | null; known: readonly CriterionId[] }
  | { not: "level"; level: number; highest: number };

/**
 * Why a mark at this place does not fit a rubric: a hub, a file, a spreadsheet and a swap all ask here.
 *
 * @param level  what is written there; left out, or no number: only the place is asked about
 * @returns null where it fits
 */
export function misfitOf(
  rubric: Rubric,
  place: MarkedAt,
  level?: number | "not-seen" | "cleared",
): Misfit | null {
  const found = rowMisfit(rubric, place);
  if ("not" in found) return found;
  const { section, item } = found;
  const known = criteriaAt(section, item);
  if (!known.includes(place.criterion)) return { not: "criterion", section, item, known };
  const highest = levelsAt(rubric, section);
  return typeof level === "number" && level > highest ? { not: "level", level, highest } : null;
}

/** The same of a row alone, which has no criterion: the section and item it belongs to, or why it belongs to none. */
export function rowMisfit(
  rubric: Rubric,
  { section: sectionId, item: itemId, side }: Omit<MarkedAt, "criterion">,
): Misfit | { section: Section; item: Item | null } {
  const section = sectionOf(rubric, sectionId);
  if (!section) return { not: "section" };
  const item = itemId === null ? null : itemOf(section, itemId);
  if (item === undefined) return { not: "item", section };
  return markedSides(item).includes(side) ? { section, item } : { not: "side", section, item };
}
