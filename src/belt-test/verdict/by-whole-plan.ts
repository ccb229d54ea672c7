import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import { type Entry, type EntryOf, isKnown } from "../scorebook/entry.ts";
import { countedPlace } from "../scorebook/place-counts.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";
import { asOpened } from "./as-opened.ts";
import { bookAt } from "./book-at.ts";
import { caseOf } from "./case-of.ts";
import type { Outcome } from "./outcome.ts";
import { outcome } from "./outcome-of.ts";

/** What of the plan says whose marks count for a child, and of what is asked. Another rubric is a doubt of its own. */
const kinds = kindsThatAre("of-the-case");

/**
 * What a verdict's basis comes to with all of the plan that was written before the verdict, and what the judges said whose watches it leaves out, as far as that is open
 * here. Whoever writes a basis chooses what it names: without one watch the strictest judge was never there.
 *
 * @returns undefined where the basis leaves nothing of that out
 */
export function computedByWholePlan(
  book: Scorebook,
  verdict: EntryOf<"verdict">,
): Outcome["computed"] | undefined {
  const { candidate, basis } = verdict.body;
  const unnamed = [...book.entries()].filter(
    (entry): entry is Entry => isKnown(entry) && kinds.has(entry.kind) && !isIn(basis, entry),
  );
  if (unnamed.length === 0) return undefined;
  const before = heardAtLeast(book, verdict);
  const leftOut = new Set(unnamed.filter(({ lamport }) => lamport < before));
  if (leftOut.size === 0) return undefined;
  const then = bookAt(
    book,
    candidate,
    basis,
    (_, entry) =>
      isIn(basis, entry) || leftOut.has(entry) || isOfLeftOut(book, candidate, leftOut, entry),
  );
  return then.plan.rubricOf(candidate)
    ? asOpened(outcome(caseOf(then, candidate))).computed
    : "incomplete";
}

/** Whoever names a line has heard it, whatever logical time they write beside that. */
function heardAtLeast(book: Scorebook, { lamport, body }: EntryOf<"verdict">): number {
  let highest = lamport;
  for (const entry of book.entries())
    if (entry.lamport > highest && isIn(body.basis, entry)) highest = entry.lamport;
  return highest;
}

/** Whether it is the word of a judge whose place there is left out. */
function isOfLeftOut(
  book: Scorebook,
  candidate: CandidateId,
  leftOut: ReadonlySet<Entry>,
  entry: Entry,
): boolean {
  const place = countedPlace(entry.kind, entry.body);
  if (place?.candidate !== candidate || !book.openings.isRevealed(candidate, place.section))
    return false;
  return [...leftOut].some((line) => isPlaceOf(line, entry.by, place.section));
}

const isPlaceOf = (line: Entry, judge: PersonId, section: SectionId): boolean =>
  (line.kind === "assigned" && line.body.judge === judge && line.body.section === section) ||
  (line.kind === "judge-replaced" && line.body.by === judge);
