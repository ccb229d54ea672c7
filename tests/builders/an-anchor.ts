import type { AnchorId, RubricId, SectionId } from "../../src/belt-test/identity.ts";
import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { weighing } from "../../src/belt-test/verdict/weighing.ts";

export const anAnchorId = "anchor-1" as AnchorId;
const blocks = "blocks" as SectionId;

/** Marks of every cell of the section, all at one level. */
export const anchorLevels = (rubric: Rubric, level: number, section: SectionId = blocks) =>
  weighing(rubric)
    .cells.filter(({ place }) => place.section === section)
    .map(({ place: { item, side, criterion } }) => ({ item, side, criterion, level }));

/** An anchor performance of the blocks. */
export const anAnchor = (
  chief: Pen,
  rubric: Rubric,
  anchor: AnchorId = anAnchorId,
  isOpen = true,
) => chief.write("anchor-set", { anchor, rubric: rubric.id as RubricId, section: blocks, isOpen });
