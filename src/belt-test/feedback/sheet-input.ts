import type { CandidateId } from "../identity.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
import { type Mark, placeKey } from "../scorebook/cell.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import type { Outcome } from "../verdict/outcome.ts";
import { isStruck } from "../verdict/question-keys.ts";
import { verdictDoubt } from "../verdict/verdict-doubt.ts";
import type { SheetInput } from "./sheet.ts";

/**
 * What the scorebook says for one candidate's sheet: what counts and is open, nothing struck, nothing closed.
 *
 * The issued verdict speaks; without one a withdrawal does. Faults of a judge whose mark there does not stand are left out.
 * Excused items are not spoken of; sections excused whole are neither kept nor repeated.
 * @returns undefined while there is neither a verdict that can be relied on nor a withdrawal, and for whoever has no rubric in this book.
 */
export function sheetInputOf(
  book: Scorebook,
  candidate: CandidateId,
  { sections }: Pick<Outcome, "sections">,
  library: FaultLibrary,
): SheetInput | undefined {
  const rubric = book.plan.rubricOf(candidate);
  const gradedOn = book.plan.opened?.date;
  const verdict = book.decisions.verdict(candidate)?.body;
  const result =
    verdict?.result ?? (book.floor.presence(candidate) === "withdrawn" ? "withdrawn" : undefined);
  if (!rubric || !gradedOn || !result || verdictDoubt(book, candidate)) return undefined;
  const settlements = book.decisions.settlements(candidate).map(({ body }) => body);
  const marks = book.marks
    .of(candidate, "verdict")
    .filter(
      (mark) => book.openings.isRevealed(candidate, mark.section) && !isStruck(mark, settlements),
    );
  const standing = new Set(marks.map(keyOf));
  const edit = book.decisions.sheetEdit(candidate)?.body;
  return {
    rubric,
    marks,
    faults: book.marks.faultsOf(candidate).filter((faults) => standing.has(keyOf(faults))),
    excused: rubric.sections.flatMap(({ items }) =>
      items.flatMap(({ id }) => (book.plan.excuse(candidate, id) ? [id] : [])),
    ),
    result,
    sections: sections.flatMap(({ id, isExcused }) => (isExcused ? [] : [id])),
    repeat: verdict?.retestSections ?? [],
    gradedOn,
    library,
    chosen: edit && { strong: edit.strong, next: edit.next },
  };
}

const keyOf = (mark: Pick<Mark, "judge" | "section" | "item" | "side" | "criterion">): string =>
  `${mark.judge} ${placeKey(mark)}`;
