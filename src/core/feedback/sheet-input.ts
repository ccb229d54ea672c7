import type { FaultLibrary } from "../rubric/fault-library.ts";
import { type Mark, placeKey } from "../scorebook/cell.ts";
import type { Presence } from "../scorebook/presence.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isStruck } from "../verdict/flag-keys.ts";
import type { Outcome } from "../verdict/outcome.ts";
import type { SheetInput } from "./sheet.ts";

/**
 * What the scorebook says for one candidate's sheet.
 *
 * The issued verdict speaks; until there is one, the computed outcome does, so that the chief can look ahead. Marks that
 * were struck, and faults of a judge whose mark there does not stand, are left out. Sections excused whole are neither
 * kept nor repeated.
 * @throws RangeError if the candidate has no rubric in this book, or the test has no date: there is no sheet to make.
 */
export function sheetInputOf(book: Scorebook, outcome: Outcome, library: FaultLibrary): SheetInput {
  const { candidate } = outcome;
  const rubric = book.rubricOf(candidate);
  const gradedOn = book.opened?.date;
  if (!rubric || !gradedOn)
    throw new RangeError(`sheetInputOf: no rubric or no date for candidate ${candidate}`);
  const settlements = book.settlements(candidate).map(({ body }) => body);
  const marks = book.marks(candidate, "verdict").filter((mark) => !isStruck(mark, settlements));
  const standing = new Set(marks.map(keyOf));
  const issued = book.verdict(candidate)?.body;
  const edit = book.sheetEdit(candidate)?.body;
  return {
    rubric,
    marks,
    faults: book.faultsOf(candidate).filter((faults) => standing.has(keyOf(faults))),
    result: awayAs(book.presence(candidate)) ?? issued?.result ?? outcome.computed,
    sections: outcome.sections
      .filter(({ isExcused }) => !isExcused)
      .map(({ id, met }) => ({ id, met })),
    repeat: issued?.result === "retest" ? issued.retestSections : outcome.retestSections,
    gradedOn,
    library,
    chosen: edit && { strong: edit.strong, next: edit.next },
  };
}

const keyOf = (mark: Pick<Mark, "judge" | "section" | "item" | "side" | "criterion">): string =>
  `${mark.judge} ${placeKey(mark)}`;

/** Whoever withdrew has withdrawn, whatever was computed; whoever never took part has no result. */
function awayAs(presence: Presence): "withdrawn" | "absent" | undefined {
  if (presence === "withdrawn") return "withdrawn";
  return presence === "absent" || presence === "unfit" ? "absent" : undefined;
}
