import type { CandidateId } from "../identity.ts";
import { DONE } from "../rubric/rubric.ts";
import { isGivenBy } from "../rubric/scale.ts";
import { placeKey } from "./cell.ts";
import { isKnown } from "./entry.ts";
import type { Scorebook } from "./scorebook.ts";

/**
 * How many cells of a child stand blank because what was given there was given by another scale than the child is tested by now: the child's rubric was corrected,
 * or replaced, by a word that came later than the marks. Reads the whole book; closed marks that are not here are not counted.
 */
export function cellsByOtherScale(book: Scorebook, candidate: CandidateId): number {
  const rubric = book.plan.rubricOf(candidate);
  if (!rubric) return 0;
  const found = new Set<string>();
  for (const entry of book.entries()) {
    if (!isKnown(entry) || entry.kind !== "mark") continue;
    const { scale, section, item, side, cells } = entry.body;
    if (!scale || isGivenBy(rubric, scale)) continue;
    for (const { candidate: of, criterion } of cells) {
      if (of !== candidate || criterion === DONE) continue;
      const place = { section, item, side, criterion };
      if (!book.marks.cell(entry.by, candidate, place)) found.add(`${entry.by}/${placeKey(place)}`);
    }
  }
  return found.size;
}
