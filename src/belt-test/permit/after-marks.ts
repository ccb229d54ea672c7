import type { Fault } from "../../book/faults.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, ItemId, SectionId } from "../identity.ts";
import { sectionOf } from "../rubric/lookup.ts";
import { type EntryOf, isKnown } from "../scorebook/entry.ts";
import { firstCallOf, isMarkedToTheEnd } from "../scorebook/marked-so-far.ts";
import type { Entrant } from "../scorebook/plan.ts";
import { isReadOtherwise } from "../scorebook/rubric-replacement.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { rubricsOfVerdicts } from "../verdict/verdict-doubt.ts";
import type { Asked } from "./refusals.ts";
import { rubricAt } from "./strangers.ts";
import { comesAgain, isChief } from "./writer.ts";

/**
 * An excuse is of something asked; the desk gives none that rewrites what is open, and nobody one that rewrites a verdict. None is lifted where somebody
 * has locked: what was never asked of them would be missing.
 * @param at  logical time, by which the chief is asked; the desk by what this book holds already, see `momentFor`
 */
export function refusalOfExcuse(asked: Asked, entry: EntryOf<"excused">): Fault | null {
  const { book, writer, at } = asked;
  const { candidate, section, item, lifted } = entry.body;
  const rubric = rubricAt(book, candidate, at);
  if (rubric && !sectionOf(rubric, section)?.items.some(({ id }) => id === item))
    return { code: "ITEM_UNKNOWN", with: { section, item, rubric: rubric.id } };
  if (comesAgain(book, writer, entry)) return null;
  const then = momentFor(asked);
  const verdict = book.decisions.verdict(candidate);
  // It is of the item wherever that lies, whichever section it names.
  const sections = new Set([section, ...sectionsOf(book, candidate, item)]);
  const isAny = (is: (one: SectionId) => boolean) => [...sections].some(is);
  const isShut =
    (verdict !== undefined && verdict.lamport <= then) ||
    (lifted && isAny((one) => book.openings.locksOf(candidate, one).size > 0)) ||
    ((lifted || !isChief(writer)) &&
      isAny((one) => book.openings.isRevealed(candidate, one, then)));
  return isShut ? { code: "EXCUSE_LATE", with: { candidate, section } } : null;
}

/** In which sections an item lies, by every rubric that the child was ever tested by. */
const sectionsOf = (book: Scorebook, candidate: CandidateId, item: ItemId): SectionId[] =>
  book.plan
    .rubricsEver(candidate)
    .flatMap(({ sections }) =>
      sections.filter(({ items }) => items.some(({ id }) => id === item)).map(({ id }) => id),
    );

/** One tap at the desk would take away a result that is there: only the chief says of somebody marked to the end that they are away. @param at  logical time, as above */
export function refusalOfAway(asked: Asked, entry: EntryOf<"absent" | "unfit">): Fault | null {
  const { book, writer } = asked;
  const { candidate } = entry.body;
  if (book.plan.rules === 1 || isChief(writer) || comesAgain(book, writer, entry)) return null;
  return isMarkedToTheEnd(book, candidate, momentFor(asked))
    ? { code: "MARKED_TO_THE_END", with: { candidate } }
    : null;
}

/**
 * Who is entered anew keeps to a number that nobody else has. Once the child was called or marked the desk gives no other rubric, number or name,
 * and the chief no other rubric without a reason: whose the marks are stands with them. One by which they would mean something else is given by nobody, but for
 * that of a verdict.
 * @param at  logical time, as above
 */
export function refusalOfReentry(asked: Asked, entry: EntryOf<"entered">): Fault | null {
  const { book, writer } = asked;
  const { candidate, number, rubric, reason } = entry.body;
  const before = book.plan.entrant(candidate);
  if (!before) return null;
  // Two desks that did not know of each other may have given one number twice: whoever has it may keep it.
  const isTaken =
    number !== before.number &&
    book.plan.entrants.some((other) => other.candidate !== candidate && other.number === number);
  if (isTaken) return { code: "NUMBER_TAKEN", with: { number } };
  if (comesAgain(book, writer, entry)) return null;
  const isBegunNow = () => book.plan.closing !== undefined || isBegun(book, candidate, NOW);
  if (!isChief(writer) && isOtherName(before, entry.body) && isBegunNow())
    return { code: "NAME_BEGUN", with: { candidate } };
  const isSame = rubric === before.rubric && (number === before.number || isChief(writer));
  if (isSame) return null;
  const next = book.plan.rubric(rubric);
  const isMeantOtherwise =
    rubric !== before.rubric &&
    next !== undefined &&
    isReadOtherwise(book, candidate, next) &&
    !rubricsOfVerdicts(book, candidate).some(({ id }) => id === rubric);
  if (isMeantOtherwise && isChief(writer)) return { code: "RUBRIC_MISFIT", with: { rubric } };
  if (!isBegun(book, candidate, momentFor(asked))) return null;
  if (isChief(writer)) return reason ? null : { code: "REASON_MISSING" };
  return rubric === before.rubric
    ? { code: "NUMBER_BEGUN", with: { candidate, number: before.number } }
    : { code: "RUBRIC_BEGUN", with: { candidate, rubric: before.rubric } };
}

const isOtherName = (before: Entrant, { details, given }: EntryOf<"entered">["body"]): boolean =>
  (details !== undefined && details.digest !== before.details?.digest) ||
  (given !== undefined && given.digest !== before.given?.digest);

/**
 * The moment by which a writer is asked. A chief by what they had heard of, until the test is closed here. Anybody else, and a chief from then on, by all that is here:
 * whoever writes a logical time may choose it, and one that says it is from before would change what the panel was opened on, or what was handed out.
 */
const momentFor = ({ book, writer, at }: Asked): number =>
  isChief(writer) && !book.plan.isClosed ? at : NOW;

function isBegun(book: Scorebook, candidate: CandidateId, at: number): boolean {
  const moments = [firstCallOf(book, candidate), book.decisions.verdict(candidate)?.lamport];
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
