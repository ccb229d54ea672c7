import type { CandidateId } from "../identity.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { caseOf } from "../verdict/case-of.ts";
import { isStruck } from "../verdict/flag-keys.ts";
import type { Outcome } from "../verdict/outcome.ts";
import type { Line } from "./line.ts";
import { type Sheet, type SheetInput, sheet, sheetChoices } from "./sheet.ts";

/** Lines a chief chose instead of the computed ones. */
export type Chosen = NonNullable<SheetInput["chosen"]>;

export interface SheetOf {
  sheet: Sheet;
  /** Every line that could truly stand on it. */
  choices: { strong: Line[]; next: Line[] };
  /** Whether what is to be practised needs a partner. */
  needsPartner: boolean;
}

/**
 * A candidate's sheet as the book stands, made of what counts and is open: nothing struck, nothing closed.
 * @param chosen lines to try; absent for those kept in the book.
 * @returns undefined while there is neither a verdict nor a withdrawal.
 */
export function sheetOf(
  book: Scorebook,
  candidate: CandidateId,
  outcome: Pick<Outcome, "sections"> | undefined,
  library: FaultLibrary,
  chosen?: Chosen,
): SheetOf | undefined {
  const rubric = book.rubricOf(candidate);
  const opened = book.opened;
  const verdict = book.verdict(candidate)?.body;
  const result =
    verdict?.result ?? (book.presence(candidate) === "withdrawn" ? "withdrawn" : undefined);
  if (!rubric || !opened || !outcome || !result) return undefined;
  const { settlements } = caseOf(book, candidate);
  const edit = book.sheetEdit(candidate)?.body;
  const input: SheetInput = {
    rubric,
    marks: book
      .marks(candidate, "verdict")
      .filter((mark) => book.isRevealed(candidate, mark.section) && !isStruck(mark, settlements)),
    faults: book.faultsOf(candidate).filter(({ section }) => book.isRevealed(candidate, section)),
    result,
    sections: outcome.sections.map(({ id, met }) => ({ id, met })),
    repeat: verdict?.result === "retest" ? verdict.retestSections : undefined,
    gradedOn: opened.date,
    library,
    chosen: chosen ?? (edit && { strong: edit.strong, next: edit.next }),
  };
  const made = sheet(input);
  const partner = new Set<string>(
    rubric.sections.flatMap(({ items }) =>
      items.flatMap((item) => (item.partner ? [item.id] : [])),
    ),
  );
  const practised = [
    ...made.next,
    ...(made.retest?.repeat.flatMap(({ practise }) => practise ?? []) ?? []),
  ];
  return {
    sheet: made,
    choices: sheetChoices(input),
    needsPartner: practised.some(
      ({ group, traces }) =>
        group === "self-defence" || traces.some(({ item }) => item !== null && partner.has(item)),
    ),
  };
}
