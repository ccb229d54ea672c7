import { byAge, type Stamp } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import { isReadBy } from "../rubric/scale.ts";
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
  const newest = new Map<string, Stamp & { isCleared: boolean }>();
  for (const entry of book.entries()) {
    if (!isKnown(entry) || entry.kind !== "mark") continue;
    const { scale, section, item, side, cells } = entry.body;
    for (const { candidate: of, criterion, level } of cells) {
      if (of !== candidate || isReadBy(rubric, scale, criterion)) continue;
      const place = { section, item, side, criterion };
      if (book.marks.cell(entry.by, candidate, place)) continue;
      const key = `${entry.by}/${placeKey(place)}`;
      const { lamport, device, n } = entry;
      const write = { lamport, device, n, isCleared: level === "cleared" };
      const before = newest.get(key);
      if (!before || byAge(write, before) > 0) newest.set(key, write);
    }
  }
  return [...newest.values()].filter(({ isCleared }) => !isCleared).length;
}
