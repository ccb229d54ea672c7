import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import { misfitOf } from "../rubric/misfit.ts";
import { isKnown } from "./entry.ts";
import { misfitFault } from "./misfit-fault.ts";
import type { Scorebook } from "./scorebook.ts";

export interface StrayMark {
  /** Place in the list of entries. */
  entry: number;
  /** Place in the entry's cells. */
  cell: number;
  fault: Fault;
}

/**
 * Marks in a finished book that belong nowhere: of a candidate who is not entered, a place the candidate's rubric does not have, a level off its scale.
 * A hub refuses such entries as they come; a file may hold them. What some rubric of this test has is no stray: rubrics are replaced during a
 * test, children are given others, and a hub put back from an older copy may have marks before the word of the rubric they were given by.
 */
export function strayMarks(book: Scorebook, entries: readonly AnyEntry[]): StrayMark[] {
  return entries.flatMap((entry, index) => {
    if (!isKnown(entry) || entry.kind !== "mark") return [];
    const { section, item, side, cells } = entry.body;
    return cells.flatMap(({ candidate, criterion, level }, cell): StrayMark[] => {
      const stray = (fault: Fault) => [{ entry: index, cell, fault }];
      if (!book.plan.entrant(candidate))
        return stray({ code: "CANDIDATE_UNKNOWN", with: { candidate } });
      const rubric = book.plan.rubricOf(candidate);
      if (!rubric)
        return stray({
          code: "RUBRIC_UNKNOWN",
          with: { rubric: book.plan.entrant(candidate)?.rubric ?? "" },
        });
      const place = { section, item, side, criterion };
      const misfit = misfitOf(rubric, place, level);
      const fitted = () =>
        book.plan.rubricsEver().some((one) => misfitOf(one, place, level) === null);
      return misfit && !fitted() ? stray(misfitFault(rubric, place, misfit)) : [];
    });
  });
}
