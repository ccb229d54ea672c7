import type { Fault } from "../faults.ts";
import type { CandidateId } from "../identity.ts";
import { sectionOf } from "../rubric/lookup.ts";
import { type EntryOf, isKnown } from "./entry.ts";
import { firstCallOf } from "./marked-so-far.ts";
import type { Writer } from "./permit.ts";
import type { Scorebook } from "./scorebook.ts";

/** An excuse is of something asked; the desk gives none that rewrites what is open, and nobody one that rewrites a verdict. @param at  logical time */
export function refusalOfExcuse(
  book: Scorebook,
  writer: Writer,
  { body: { candidate, section, item } }: EntryOf<"excused">,
  at: number,
): Fault | null {
  const rubric = book.rubricOf(candidate, at);
  if (rubric && !sectionOf(rubric, section)?.items.some(({ id }) => id === item))
    return { code: "ITEM_UNKNOWN", with: { section, item, rubric: rubric.id } };
  const verdict = book.verdict(candidate);
  const isShut =
    (verdict !== undefined && verdict.lamport <= at) ||
    (!writer.roles.includes("chief") && book.isRevealed(candidate, section, at));
  return isShut ? { code: "SECTION_OPEN", with: { candidate, section } } : null;
}

/** Who is entered anew keeps to a number that nobody else has; and once marks may be there the desk gives no other rubric. @param at  logical time */
export function refusalOfReentry(
  book: Scorebook,
  writer: Writer,
  { body: { candidate, number, rubric } }: EntryOf<"entered">,
  at: number,
): Fault | null {
  const before = book.entrant(candidate);
  if (!before) return null;
  // Two desks that did not know of each other may have given one number twice: whoever has it may keep it.
  const isTaken =
    number !== before.number &&
    book.entrants.some((other) => other.candidate !== candidate && other.number === number);
  if (isTaken) return { code: "NUMBER_TAKEN", with: { number } };
  if (rubric === before.rubric || writer.roles.includes("chief")) return null;
  return isBegun(book, candidate, at)
    ? { code: "RUBRIC_BEGUN", with: { candidate, rubric: before.rubric } }
    : null;
}

function isBegun(book: Scorebook, candidate: CandidateId, at: number): boolean {
  const moments = [firstCallOf(book, candidate), book.verdict(candidate)?.lamport];
  if (moments.some((moment) => moment !== undefined && moment <= at)) return true;
  for (const entry of book.entries())
    if (
      isKnown(entry) &&
      entry.kind === "mark" &&
      entry.lamport <= at &&
      entry.body.cells.some((cell) => cell.candidate === candidate)
    )
      return true;
  return false;
}
