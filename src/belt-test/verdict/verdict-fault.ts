import type { Fault } from "../../book/faults.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import { sectionsEver } from "../scorebook/one-count.ts";
import { basisFor } from "../scorebook/place-counts.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { asOpened } from "./as-opened.ts";
import { bookAt, holdsOthers, holdsOwn, isOfBasisOrOpens, namesClosed } from "./book-at.ts";
import { caseOf } from "./case-of.ts";
import { outcome } from "./outcome-of.ts";
import { hindrances } from "./question-queue.ts";

/**
 * Whether a verdict says what was computed, and gives a reason where it goes against that or leaves a question open that could change it.
 *
 * Reckoned by what its writer had: the book at the verdict's basis. What came to this book and had not come to the writer changes nothing, so a verdict that
 * was right where it was written is right wherever it comes. Where the book lacks some of what the basis names, or holds it closed (a hub put back from an
 * older copy), nothing can be reckoned, and the verdict is taken: what becomes of it `verdictDoubt` says. So is every verdict of a book by the first rules.
 * Where something that its writer had written before was not taken, its reason is enough.
 *
 * Asked is by exact figures alone. What severity and certainty advise is reckoned with roots and logarithms, which two machines may round differently:
 * the screen asks about it.
 */
export const verdictFault = (book: Scorebook, entry: EntryOf<"verdict">): Fault | null =>
  book.plan.rules === 1 || !isReckonable(book, entry) ? null : faultByWhatIsHere(book, entry);

/** The same by as much of its basis as this book holds; what is open is open then, whoever's lock it was. */
export function faultByWhatIsHere(book: Scorebook, entry: EntryOf<"verdict">): Fault | null {
  const { candidate, basis, result, computed, retestSections, reason } = entry.body;
  const isWhole = isReckonable(book, entry);
  const then = bookAt(book, candidate, basis, isWhole ? undefined : isOfBasisOrOpens);
  const found = then.plan.rubricOf(candidate) && asOpened(outcome(caseOf(then, candidate)));
  const isComputed = found?.computed ?? "incomplete";
  // “Incomplete” always has a reason beside it, and is true of whoever has not been sent yet what they opened themselves.
  const isRight =
    computed === isComputed ||
    computed === "incomplete" ||
    (reason && !holdsOwn(book, basis, entry));
  if (!isRight) return { code: "COMPUTED_OTHER", with: { candidate, computed: isComputed } };
  if (reason) return null;
  const isOther = result !== computed || !areTheSame(retestSections, found?.retestSections ?? []);
  if (isOther) return { code: "REASON_MISSING" };
  // A withdrawal is in no basis: whether the chief knew of it, nobody can tell.
  const hinders = found && found.presence !== "withdrawn" ? hindrances(found) : [];
  if (hinders.length === 0) return null;
  return { code: hinders.includes("question-open") ? "QUESTION_OPEN" : "REASON_MISSING" };
}

/** Whether this book can say what a verdict's basis comes to. What it names of other children is not asked: the answer would tell how often a judge has tapped there. */
export function isReckonable(book: Scorebook, entry: EntryOf<"verdict">): boolean {
  const { candidate, basis } = entry.body;
  const places = sectionsEver(book.plan).map((section) => ({ candidate, section }));
  return !namesClosed(book, candidate, basis) && holdsOthers(book, basisFor(basis, places), entry);
}

/** Of sections to repeat, in whatever order. */
export const areTheSame = (a: readonly string[], b: readonly string[]): boolean =>
  a.length === b.length && a.every((one) => b.includes(one));
