import type { CandidateId } from "../identity.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import type { Outcome } from "../verdict/outcome.ts";
import type { Line } from "./line.ts";
import { type Sheet, type SheetInput, sheet, sheetChoices } from "./sheet.ts";
import { sheetInputOf } from "./sheet-input.ts";

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
 * A candidate's sheet as the book stands: see `sheetInputOf`.
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
  const kept = outcome && sheetInputOf(book, candidate, outcome, library);
  if (!kept) return undefined;
  const input = chosen ? { ...kept, chosen } : kept;
  const made = sheet(input);
  const partner = new Set<string>(
    input.rubric.sections.flatMap(({ items }) =>
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
