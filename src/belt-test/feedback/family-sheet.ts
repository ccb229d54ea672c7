import type { SideRecordId, TextRef } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { CandidateId } from "../identity.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { candidateDetails } from "../scorebook/candidate-details.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { FreeText, PersonDetails } from "../scorebook/side-bodies.ts";
import { caseOf } from "../verdict/case-of.ts";
import { outcome } from "../verdict/outcome-of.ts";
import type { Line } from "./line.ts";
import type { Sheet } from "./sheet.ts";
import { sheetOf } from "./sheet-of.ts";

/** A released page and nothing else: no judge, no mark, no other candidate. */
export interface FamilySheet {
  sheet: Sheet;
  /** The school's name for the day. */
  title: string;
  number: number;
  name: string;
  /** Empty where the chief examiner's name is not known. */
  chief: string;
  scale: Rubric["scale"];
  /** A sentence of the chief's own. */
  words?: string;
  needsPartner: boolean;
}

/**
 * What may a student or guardian read of this test at home?
 *
 * The page as the book stands now, so that a changed line or a corrected verdict is on it the next time it is opened.
 * What each line rests on is left out: the marks are the school's.
 * @param side what is kept of names and texts; what was erased is not found, and leaves its place empty.
 * @param shipped the faults and cues of this version, for a test from before they were frozen with it.
 * @returns undefined where the sheet is not released, the candidate is erased, or there is neither a verdict nor a withdrawal.
 */
export function familySheet(
  book: Scorebook,
  candidate: CandidateId,
  side: (id: SideRecordId) => SideRecord | undefined,
  shipped: FaultLibrary,
): FamilySheet | undefined {
  const rubric = book.plan.rubricOf(candidate);
  const entrant = book.plan.entrant(candidate);
  if (!rubric || !entrant || !book.decisions.release(candidate) || book.erased.has(candidate))
    return undefined;
  const { sections } = outcome(caseOf(book, candidate));
  const made = sheetOf(book, candidate, { sections }, book.plan.library ?? shipped);
  if (!made) return undefined;
  const bodyOf = (ref: TextRef | undefined) => ref && side(ref.id)?.body;
  const details = candidateDetails(entrant, side);
  const chief =
    book.decisions.verdict(candidate)?.by ??
    book.plan.seats.find(({ roles }) => roles.includes("chief"))?.person;
  const person = chief && PersonDetails.safeParse(bodyOf(book.plan.seat(chief)?.details)).data;
  const words = FreeText.safeParse(bodyOf(book.decisions.sheetEdit(candidate)?.body.words)).data
    ?.text;
  return {
    sheet: withoutTraces(made.sheet),
    title: book.plan.opened?.title ?? "",
    number: entrant.number,
    name: [details?.given, details?.family].filter(Boolean).join(" "),
    chief: person?.name ?? "",
    scale: rubric.scale,
    ...(words ? { words } : {}),
    needsPartner: made.needsPartner,
  };
}

function withoutTraces(sheet: Sheet): Sheet {
  const plain = (line: Line): Line => ({ ...line, key: "", traces: [] });
  const retest = sheet.retest && {
    ...sheet.retest,
    repeat: sheet.retest.repeat.map((part) => ({
      ...part,
      practise: part.practise && plain(part.practise),
    })),
  };
  return { ...sheet, strong: sheet.strong.map(plain), next: sheet.next.map(plain), retest };
}
